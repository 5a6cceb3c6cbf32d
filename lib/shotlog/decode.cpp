#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "lib/base/number.h"
#include "lib/shotlog/checksum.h"
#include "lib/shotlog/codec.h"
#include "lib/shotlog/json_fields.h"
#include "lib/time/utc_text.h"

namespace noonfall::shotlog {
namespace {

constexpr std::string_view crc_member = ",\"crc\":\"";
constexpr std::size_t crc_tail = crc_member.size() + 8 + 2;  // ,"crc":"9a3f01bc"}

FrameName get_frame(const Json& in) {
  FrameName name{get_text(in, "rig"), get_text(in, "step"), 0, 0};
  if (!in.contains("frame")) return name;
  const auto text = get_text(in, "frame");
  const auto dot = std::min(text.find('.'), text.size());
  const auto set = parse_integer(std::string_view{text}.substr(0, dot));
  const auto frame = dot < text.size() ? parse_integer(std::string_view{text}.substr(dot + 1)) : std::nullopt;
  constexpr std::int64_t most = 1'000'000'000;
  if (!set || !frame || *set < 1 || *frame < 1 || *set > most || *frame > most) throw BadMember{"\"frame\""};
  name.set = static_cast<std::int32_t>(*set);
  name.frame = static_cast<std::int32_t>(*frame);
  return name;
}

exposure::Exposure get_exposure(const Json& in) {
  const auto& inner = member(in, "exposure");
  const auto shutter = exposure::parse_shutter(get_text(inner, "shutter"));
  const auto iso = get_integer(inner, "iso");
  if (!shutter || iso < 1 || iso > 10'000'000) throw BadMember{"\"exposure\""};
  exposure::Exposure exposure{*shutter, std::nullopt, {static_cast<std::int32_t>(iso)}};
  if (inner.contains("aperture")) {
    exposure.aperture = exposure::parse_f_number(get_text(inner, "aperture"));
    if (!exposure.aperture) throw BadMember{"\"aperture\""};
  }
  return exposure;
}

order::Outcome get_result(const Json& in) {
  const auto text = get_text(in, "result");
  for (const auto result :
       {order::Outcome::fired, order::Outcome::failed, order::Outcome::unknown, order::Outcome::cancelled}) {
    if (text == order::to_text(result)) return result;
  }
  throw BadMember{"\"result\""};
}

Outcome get_outcome(const Json& in) {
  Outcome outcome{get_frame(in),
                  get_result(in),
                  get_utc(in, "due_utc"),
                  std::nullopt,
                  get_exposure(in),
                  {},
                  get_text_or_empty(in, "why")};
  if (in.contains("opened_utc")) outcome.opened = get_utc(in, "opened_utc");
  if (in.contains("files")) {
    for (const auto& file : in["files"]) {
      if (!file.is_string()) throw BadMember{"\"files\""};
      outcome.files.push_back(file.get<std::string>());
    }
  }
  return outcome;
}

Skip get_skip(const Json& in) {
  Skip skip{get_frame(in), std::nullopt, get_text_or_empty(in, "why")};
  if (in.contains("due_utc")) skip.due = get_utc(in, "due_utc");
  return skip;
}

FilterState get_filter_state(const Json& in, const char* name) {
  const auto text = get_text(in, name);
  for (const auto state : {FilterState::on, FilterState::off, FilterState::unknown}) {
    if (text == to_text(state)) return state;
  }
  throw BadMember{fmt::format("\"{}\"", name)};
}

CueSpoken get_cue(const Json& in) {
  CueSpoken cue{get_text(in, "words"), get_utc(in, "ends_utc"), get_text_or_empty(in, "why")};
  if (!in.contains("filter")) return cue;
  const bool late = in.contains("late") && get_flag(in, "late");
  cue.filter = FilterWords{get_text(in, "rig"), get_filter_state(in, "filter"), late};
  return cue;
}

std::optional<ClockReadings> get_readings(const Json& in) {
  if (!in.contains("read_boot_us")) return std::nullopt;
  return ClockReadings{BootTime{Duration{get_integer(in, "read_boot_us")}}, get_utc(in, "read_utc"),
                       Duration{get_integer(in, "read_monotonic_us")},
                       Duration{get_integer(in, "read_raw_us")}};
}

ClockLine get_clock_line(const Json& in) {
  ClockLine clock{get_text_or_empty(in, "why"), std::nullopt};
  if (!in.contains("boot_id")) return clock;
  const auto speed = get_number(in, "speed");
  if (!(speed > 0 && speed <= 1e6)) throw BadMember{"\"speed\""};
  clock.stamp = {get_text(in, "boot_id"),
                 {BootTime{Duration{get_integer(in, "boot_us")}}, get_utc(in, "boot_utc"), speed},
                 get_readings(in)};
  return clock;
}

Entry get_entry(const Json& in, std::string_view kind) {
  if (kind == "header") return get_header(in);
  if (kind == "intent") {
    return Intent{get_frame(in), get_integer(in, "order"), get_utc(in, "due_utc"), get_utc(in, "latest_utc"),
                  get_exposure(in)};
  }
  if (kind == "outcome") return get_outcome(in);
  if (kind == "skip") return get_skip(in);
  if (kind == "cue") return get_cue(in);
  if (kind == "filter") {
    return FilterChange{get_text(in, "rig"), get_filter_state(in, "state"), get_flag(in, "confirmed"),
                        get_text_or_empty(in, "why")};
  }
  if (kind == "fault") return Fault{get_text(in, "rig"), get_flag(in, "ready"), get_text_or_empty(in, "why")};
  if (kind == "clock") return get_clock_line(in);
  if (kind == "command") return CommandLine{get_text(in, "words"), get_text_or_empty(in, "why")};
  if (kind == "amendment") return Amendment{get_header(in), get_text_or_empty(in, "why")};
  if (kind == "note") return Note{get_text(in, "words")};
  throw BadMember{"\"kind\""};
}

ClockState get_clock(const Json& in) {
  const auto text = get_text(in, "clock");
  for (const auto grade : {ClockGrade::a, ClockGrade::b, ClockGrade::c, ClockGrade::f}) {
    if (text != std::string(1, to_char(grade))) continue;
    if (grade == ClockGrade::f) return {grade, {}};
    const auto bound_ms = get_number(in, "clock_ms");
    if (!(bound_ms >= 0 && bound_ms < 1e6)) throw BadMember{"\"clock_ms\""};
    return {grade, from_seconds(bound_ms / 1e3)};
  }
  throw BadMember{"\"clock\""};
}

tl::unexpected<Diagnostics> bad(std::string message) {
  return fail(error_at({}, "bad-line", std::move(message)));
}

}  // namespace

Result<Line> decode(std::string_view text) {
  const bool has_crc = text.size() > crc_tail && text.ends_with("\"}") &&
                       text.substr(text.size() - crc_tail).starts_with(crc_member);
  if (!has_crc) return bad("the line doesn't end in its checksum");
  const auto body = text.substr(0, text.size() - crc_tail);
  if (crc32c_text(body) != text.substr(text.size() - 10, 8)) return bad("the checksum doesn't match");
  const auto json = Json::parse(text, nullptr, false);
  if (!json.is_object()) return bad("the line isn't a JSON object");
  try {
    return Line{get_integer(json, "seq"), get_utc(json, "utc"), get_clock(json),
                get_entry(json, get_text(json, "kind"))};
  } catch (const BadMember& found) {
    return bad(fmt::format("{} is missing or isn't what it should be", found.what));
  }
}

}  // namespace noonfall::shotlog
