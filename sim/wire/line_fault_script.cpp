#include "sim/wire/line_fault_script.h"

#include <charconv>

#include "lib/time/duration_text.h"
#include "lib/time/utc_text.h"
#include "lib/yaml/field.h"
#include "lib/yaml/reader.h"
#include "lib/yaml/typed.h"

namespace noonfall::wire {
namespace {

using yaml::Choice;
using yaml::Field;
using yaml::MapReader;

enum class Kind {
  refused,
  late_news,
  slow_settings,
  slow_answers,
  silence,
  damaged,
  other_serial,
  mode_off_manual,
  focus_fails,
  low_battery,
  card_full,
  false_words,
};

std::optional<Kind> read_kind(const Field& field) {
  constexpr Choice<Kind> kinds[] = {{"refused", Kind::refused},
                                    {"late news", Kind::late_news},
                                    {"slow settings", Kind::slow_settings},
                                    {"slow answers", Kind::slow_answers},
                                    {"silence", Kind::silence},
                                    {"damaged answer", Kind::damaged},
                                    {"other serial", Kind::other_serial},
                                    {"dial off M", Kind::mode_off_manual},
                                    {"focus fails", Kind::focus_fails},
                                    {"low battery", Kind::low_battery},
                                    {"card full", Kind::card_full},
                                    {"false words", Kind::false_words}};
  return yaml::read_choice(field, kinds);
}

bool countable(Kind kind) {
  return kind == Kind::refused || kind == Kind::damaged || kind == Kind::slow_answers;
}

std::optional<Duration> read_span(const Field& field) {
  const auto span = [](std::string_view text) -> std::optional<Duration> {
    const auto read = parse_duration(text);
    const bool fits = read && *read >= Duration{} && *read <= std::chrono::hours{24};
    return fits ? read : std::nullopt;
  };
  return yaml::read_as(field, span, "a duration like 10 s, up to 24 h");
}

std::optional<std::uint16_t> parse_code(std::string_view text) {
  if (!text.starts_with("0x") || text.size() != 6) return std::nullopt;
  std::uint16_t code = 0;
  const auto [end, error] = std::from_chars(text.data() + 2, text.data() + text.size(), code, 16);
  return error == std::errc{} && end == text.data() + text.size() ? std::optional{code} : std::nullopt;
}

std::optional<LineEffect> read_refused(MapReader& map) {
  constexpr Choice<Asked> all[] = {{"release", Asked::release}, {"setting", Asked::setting}};
  const auto asked = yaml::read_choice(map.required("asked"), all);
  const auto code = yaml::read_as(map.required("code"), parse_code, "a response code like 0x2019");
  if (!asked || !code) return std::nullopt;
  return Refused{*asked, *code};
}

template <class Effect>
std::optional<LineEffect> read_by(MapReader& map) {
  const auto by = read_span(map.required("by"));
  return by ? std::optional<LineEffect>{Effect{*by}} : std::nullopt;
}

std::optional<LineEffect> read_slow_answers(MapReader& map) {
  using Late = SlowAnswers::Late;
  constexpr Choice<Late> all[] = {{"all", Late::all}, {"data", Late::data}};
  const auto by = read_span(map.required("by"));
  const auto code = yaml::read_as(map.optional("operation"), parse_code, "an operation's code like 0x9116");
  const auto late = yaml::read_choice(map.optional("late"), all);
  return by ? std::optional<LineEffect>{SlowAnswers{*by, code, late.value_or(Late::all)}} : std::nullopt;
}

std::optional<LineEffect> read_damaged(MapReader& map) {
  constexpr Choice<Damaged::How> all[] = {
      {"cut", Damaged::How::cut}, {"noise", Damaged::How::noise}, {"bytes", Damaged::How::bytes}};
  const auto how = yaml::read_choice(map.required("how"), all);
  if (!how) return std::nullopt;
  Damaged damaged{*how};
  if (const auto seed =
          yaml::read_integer(map.optional("seed"), {1, 1'000'000}, "a number from 1 to 1000000"))
    damaged.seed = static_cast<std::uint32_t>(*seed);
  return damaged;
}

std::optional<LineEffect> read_other_serial(MapReader& map) {
  auto serial = yaml::read_line(map.required("serial"), 32, "a serial number of up to 32 characters");
  return serial ? std::optional<LineEffect>{OtherSerial{std::move(*serial)}} : std::nullopt;
}

std::optional<LineEffect> read_low_battery(MapReader& map) {
  const auto percent = yaml::read_quantity(map.required("charge"), "%", {0, 100}, "0 % to 100 %");
  return percent ? std::optional<LineEffect>{LowBattery{static_cast<int>(*percent)}} : std::nullopt;
}

std::optional<LineEffect> read_false_words(MapReader& map) {
  using About = FalseWords::About;
  constexpr Choice<About> all[] = {{"no choices", About::no_choices},
                                   {"choices of zeros", About::choices_of_zeros},
                                   {"choices of ones", About::choices_of_ones},
                                   {"current value", About::current_value},
                                   {"battery", About::battery},
                                   {"room", About::room},
                                   {"picture", About::picture},
                                   {"serial number", About::serial},
                                   {"many choices", About::many_choices},
                                   {"names", About::names},
                                   {"news", About::news}};
  const auto about = yaml::read_choice(map.required("about"), all);
  return about ? std::optional<LineEffect>{FalseWords{*about}} : std::nullopt;
}

std::optional<LineEffect> read_effect(Kind kind, MapReader& map) {
  switch (kind) {
    case Kind::refused:
      return read_refused(map);
    case Kind::late_news:
      return read_by<LateNews>(map);
    case Kind::slow_settings:
      return read_by<SlowSettings>(map);
    case Kind::slow_answers:
      return read_slow_answers(map);
    case Kind::damaged:
      return read_damaged(map);
    case Kind::other_serial:
      return read_other_serial(map);
    case Kind::low_battery:
      return read_low_battery(map);
    case Kind::silence:
      return Silence{};
    case Kind::mode_off_manual:
      return ModeOffManual{};
    case Kind::focus_fails:
      return FocusFails{};
    case Kind::false_words:
      return read_false_words(map);
    case Kind::card_full:
      break;
  }
  return CardFull{};
}

/// `from` or `after`, or neither: from the start.
Utc read_from(MapReader& map, Utc start) {
  const auto from = map.optional("from");
  const auto after = map.optional("after");
  if (from && after) after.error("two-beginnings", "`from` stands here too", "either `from` or `after`");
  const auto instant = yaml::read_as(
      from, [](std::string_view text) { return parse_utc(text); }, "an instant like 2027-08-02T08:45:00Z");
  if (instant) return *instant;
  const auto span = read_span(after);
  return span ? start + *span : start;
}

std::optional<LineFault> read_fault(const Field& field, Utc start) {
  MapReader map{field, "a fault"};
  const auto kind = read_kind(map.required("fault"));
  if (!kind) return std::nullopt;  // its other keys can't be judged
  LineFault fault;
  fault.from = read_from(map, start);
  if (const auto lasts = read_span(map.optional("for"))) fault.until = fault.from + *lasts;
  if (countable(*kind)) {
    const auto count = yaml::read_integer(map.optional("count"), {1, 1000}, "how often, from 1 to 1000");
    if (count) fault.count = static_cast<int>(*count);
  }
  auto effect = read_effect(*kind, map);
  map.finish();
  if (!effect) return std::nullopt;
  fault.effect = std::move(*effect);
  return fault;
}

}  // namespace

Result<std::vector<LineFault>> parse_line_faults(std::string_view text, Utc start) {
  const auto document = yaml::read(text);
  if (!document) return fail(document.error());
  Diagnostics findings;
  MapReader map{*document, "the script of line faults", findings};
  (void)yaml::read_integer(map.required("noonfall_line_faults"), {1, 1},
                           "noonfall_line_faults: 1, the only version there is");
  std::vector<LineFault> faults;
  for (const auto& item : yaml::read_list(map.required("faults"), "a list of faults, at least one")) {
    if (auto fault = read_fault(item, start)) faults.push_back(std::move(*fault));
  }
  map.finish();
  if (has_errors(findings)) return fail(first_by_place(std::move(findings), yaml::most_errors));
  return faults;
}

}  // namespace noonfall::wire
