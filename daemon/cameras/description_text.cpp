#include "daemon/cameras/description_text.h"

#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "lib/base/plain_text.h"
#include "lib/body/profile_text.h"
#include "lib/time/duration_text.h"

namespace noonfall::cameras {
namespace {

using body::Description;

std::string card_text(const Description& told) {
  if (told.slot == body::CardSlot::empty) return "no card";
  if (!told.card) return "card: not told";
  return fmt::format("card {:.1f} of {:.1f} GB free{}", told.card->free.value / 1000,
                     told.card->capacity.value / 1000, told.card->read_only ? ", write-protected" : "");
}

template <class T>
void add_said(std::vector<std::string>& words, std::string_view what,
              const std::optional<body::Said<T>>& said) {
  if (said) words.push_back(fmt::format("{} \"{}\"", what, plain_line(said->words)));
}

std::string settings_text(const Description& told) {
  std::vector<std::string> words;
  add_said(words, "mode", told.mode);
  add_said(words, "focus", told.focus);
  add_said(words, "drive", told.drive);
  add_said(words, "files", told.files);
  if (told.live_view) words.emplace_back(*told.live_view ? "live view on" : "live view off");
  if (told.power_off) {
    words.push_back(*told.power_off == Duration{}
                        ? std::string{"stays on"}
                        : fmt::format("off after {}", noonfall::to_text(*told.power_off)));
  }
  if (told.clock_offset)
    words.push_back(fmt::format("clock {:+.0f} s off this computer's", in_seconds(*told.clock_offset)));
  return fmt::format("{}", fmt::join(words, ", "));
}

std::string choices_text(const body::Choices& choices) {
  std::vector<std::string> words;
  const auto add = [&](const auto& values) {
    if (!values.empty()) {
      words.push_back(
          fmt::format("{} to {}", exposure::to_text(values.front()), exposure::to_text(values.back())));
    }
  };
  add(choices.shutters);
  add(choices.apertures);
  add(choices.isos);
  return words.empty() ? "no exposure settings" : fmt::format("{}", fmt::join(words, ", "));
}

std::string finding_text(const Diagnostic& finding) {
  return fmt::format("  {} {}\n", finding.severity == Severity::error ? "STOPS A RUN:" : "look at:   ",
                     plain_line(on_one_line(finding)));
}

std::string chosen_text(const std::vector<body::Chosen>& choices) {
  std::vector<std::string> words;
  for (const auto& one : choices)
    words.push_back(one.choice.empty() ? "nothing near" : plain_line(one.choice));
  return fmt::format("{}", fmt::join(words, ", "));
}

std::string outcome_text(const SettingsTrial& trial) {
  if (trial.as_asked()) return "as asked";
  const auto why = trial.why.empty() ? std::string{} : fmt::format(": {}", plain_line(trial.why));
  if (trial.answer == rig::Answer::ok || trial.answer == rig::Answer::refused)
    return fmt::format("{}{}", to_text(trial.shown), why);
  return fmt::format("nothing{}", why);
}

}  // namespace

std::string to_text(const Description& told, const body::Demand& demand) {
  auto text = fmt::format("{}  {}, family {}, at {}\n", plain_line(told.serial), plain_line(told.model),
                          told.family, plain_line(told.port));
  const auto battery = told.battery_percent ? fmt::format("battery {} %", *told.battery_percent)
                                            : std::string{"battery: not told"};
  text += fmt::format("  {}, {}\n", battery, card_text(told));
  if (const auto settings = settings_text(told); !settings.empty()) text += fmt::format("  {}\n", settings);
  text += fmt::format("  {}{}\n", choices_text(told.choices), told.offers_burst ? ", bursts" : "");
  const auto found = obstacles(told, demand);
  for (const auto& finding : found) text += finding_text(finding);
  if (const auto list = untold(told); !list.empty())
    text += fmt::format("  it doesn't tell, so look yourself: {}\n", fmt::join(list, ", "));
  if (!has_errors(found)) text += "  nothing it tells would stop a run\n";
  return text;
}

std::string to_text(const Unopened& unopened, const std::vector<Holder>& holders) {
  auto text = fmt::format("{} at {} can't be opened: {}\n", plain_line(unopened.model),
                          plain_line(unopened.port), plain_line(unopened.why));
  for (const auto& holder : holders)
    text += fmt::format("  held by {} (process {})\n", plain_line(holder.name), holder.pid);
  if (unopened.held || !holders.empty()) text += fmt::format("  wanted: {}\n", cure(holders));
  return text;
}

std::string to_text(const rig::SettingsCall& settings) {
  return fmt::format("{}, {}", exposure::to_text(settings.exposure), body::to_text(settings.drive));
}

std::string to_text(const std::vector<SettingsTrial>& trials) {
  std::size_t asked = 5;
  std::size_t chosen = 18;
  for (const auto& trial : trials) {
    asked = std::max(asked, to_text(trial.asked).size());
    chosen = std::max(chosen, chosen_text(trial.choices).size());
  }
  auto text = fmt::format("  {:<{}}  {:<{}}  {:>8}  read back\n", "asked", asked, "chosen on the body",
                          chosen, "took");
  for (const auto& trial : trials) {
    text += fmt::format("  {:<{}}  {:<{}}  {:>5.0f} ms  {}\n", to_text(trial.asked), asked,
                        chosen_text(trial.choices), chosen, in_milliseconds(trial.took), outcome_text(trial));
  }
  return text;
}

}  // namespace noonfall::cameras
