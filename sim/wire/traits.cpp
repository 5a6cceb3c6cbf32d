#include "sim/wire/traits.h"

#include <algorithm>
#include <charconv>
#include <string_view>
#include <variant>

#include <fmt/format.h>

#include "sim/wire/dialect.h"

namespace noonfall::wire {
namespace {

struct Knob {
  std::string_view name;
  std::variant<bool Traits::*, int Traits::*, std::string Traits::*, Destination Traits::*> trait;
};
constexpr Knob knobs[] = {{"backup-slot", &Traits::backup_slot},
                          {"busy-word", &Traits::busy_word},
                          {"button-news", &Traits::button_news},
                          {"dial-shrinks-lists", &Traits::dial_shrinks_lists},
                          {"direct-times", &Traits::direct_times},
                          {"drive-dial", &Traits::drive_dial},
                          {"half-press-stays", &Traits::half_press_stays},
                          {"hides-buttons", &Traits::hides_buttons},
                          {"host-buffer", &Traits::host_buffer},
                          {"maker", &Traits::maker},
                          {"mode-dial", &Traits::mode_dial},
                          {"more-settings", &Traits::more_settings},
                          {"needs-control-mode", &Traits::needs_control_mode},
                          {"new-model", &Traits::new_model},
                          {"news-after-frame", &Traits::news_after_frame},
                          {"news-at-opening", &Traits::news_at_opening},
                          {"read-only-store", &Traits::read_only_store},
                          {"saves-to", &Traits::saves_to},
                          {"second-card", &Traits::second_card},
                          {"single-notches", &Traits::single_notches}};
constexpr int most = 0xFFFF;

/// "40" or "0xA004".
bool read_number(std::string_view text, int& number) {
  const bool is_hex = text.starts_with("0x");
  if (is_hex) text.remove_prefix(2);
  const auto* end = text.data() + text.size();
  int read = 0;
  const auto done = std::from_chars(text.data(), end, read, is_hex ? 16 : 10);
  if (done.ec != std::errc{} || done.ptr != end || read < 0 || read > most) return false;
  number = read;
  return true;
}

bool read_destination(std::string_view text, Destination& destination) {
  constexpr std::pair<std::string_view, Destination> words[] = {
      {"card", Destination::card}, {"pc", Destination::host}, {"both", Destination::both}};
  const auto* word = std::ranges::find(words, text, &std::pair<std::string_view, Destination>::first);
  if (word == std::end(words)) return false;
  destination = word->second;
  return true;
}

/// Empty, or what is wanted.
std::string turn(Traits& traits, const Knob& knob, std::string_view value) {
  if (const auto* text = std::get_if<std::string Traits::*>(&knob.trait)) {
    traits.*(*text) = value;
    return {};
  }
  if (const auto* number = std::get_if<int Traits::*>(&knob.trait))
    return read_number(value, traits.*(*number)) ? "" : fmt::format("a number of up to {}", most);
  if (const auto* target = std::get_if<Destination Traits::*>(&knob.trait))
    return read_destination(value, traits.*(*target)) ? "" : "card, pc or both";
  traits.*std::get<bool Traits::*>(knob.trait) = true;
  return value.empty() ? "" : "the trait alone";
}

std::string all_names() {
  std::string names;
  for (const auto& knob : knobs) names += (names.empty() ? "" : ", ") + std::string{knob.name};
  return names;
}

}  // namespace

Traits traits_of(Family family) {
  Traits traits;
  traits.maker = facts_of(family).maker;
  traits.read_only_store = family == Family::fuji;
  if (family == Family::sony || family == Family::fuji) traits.saves_to = Destination::host;
  return traits;
}

Result<Traits> with_traits(Traits traits, const std::vector<std::string>& words) {
  Diagnostics errors;
  const auto refuse = [&](const std::string& word, std::string hint) {
    errors.push_back(error_at({}, "trait", fmt::format("unknown trait \"{}\"", word), std::move(hint)));
  };
  for (const auto& word : words) {
    const auto equals = std::min(word.find('='), word.size());
    const auto name = std::string_view{word}.substr(0, equals);
    const auto value = std::string_view{word}.substr(std::min(equals + 1, word.size()));
    const auto* knob = std::ranges::find(knobs, name, &Knob::name);
    if (knob == std::end(knobs)) {
      refuse(word, all_names());
    } else if (auto wanted = turn(traits, *knob, value); !wanted.empty()) {
      refuse(word, std::move(wanted));
    }
  }
  if (!errors.empty()) return fail(std::move(errors));
  // What changed can be asked for.
  if (traits.news_at_opening + traits.news_after_frame > 0)
    traits.more_settings = std::max(traits.more_settings, 1);
  return traits;
}

}  // namespace noonfall::wire
