#include "daemon/cameras/sheet_text.h"

#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "lib/base/plain_text.h"
#include "lib/body/profile_text.h"
#include "lib/time/duration_text.h"

namespace noonfall::cameras {
namespace {

using body::BodySheet;

std::string card_text(const BodySheet& sheet) {
  if (sheet.slot == body::CardSlot::empty) return "no card";
  if (!sheet.card) return "card: not told";
  return fmt::format("card {:.1f} of {:.1f} GB free{}", sheet.card->free.value / 1000,
                     sheet.card->capacity.value / 1000, sheet.card->read_only ? ", write-protected" : "");
}

template <class T>
void add_said(std::vector<std::string>& words, std::string_view what,
              const std::optional<body::Said<T>>& said) {
  if (said) words.push_back(fmt::format("{} \"{}\"", what, plain_line(said->words)));
}

std::string settings_text(const BodySheet& sheet) {
  std::vector<std::string> words;
  add_said(words, "mode", sheet.mode);
  add_said(words, "focus", sheet.focus);
  add_said(words, "drive", sheet.drive);
  add_said(words, "files", sheet.files);
  if (sheet.live_view) words.emplace_back(*sheet.live_view ? "live view on" : "live view off");
  if (sheet.power_off) {
    words.push_back(*sheet.power_off == Duration{}
                        ? std::string{"stays on"}
                        : fmt::format("off after {}", noonfall::to_text(*sheet.power_off)));
  }
  if (sheet.clock_offset)
    words.push_back(fmt::format("clock {:+.0f} s off this computer's", in_seconds(*sheet.clock_offset)));
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

std::string outcome_text(const Trial& trial) {
  if (trial.as_asked()) return "as asked";
  const auto why = trial.why.empty() ? std::string{} : fmt::format(": {}", plain_line(trial.why));
  if (trial.answer == rig::Answer::ok || trial.answer == rig::Answer::refused)
    return fmt::format("{}{}", to_text(trial.shown), why);
  return fmt::format("nothing{}", why);
}

}  // namespace

std::string to_text(const BodySheet& sheet, const body::Demand& demand) {
  auto text = fmt::format("{}  {}, family {}, at {}\n", plain_line(sheet.serial), plain_line(sheet.model),
                          sheet.family, plain_line(sheet.port));
  const auto battery = sheet.battery_percent ? fmt::format("battery {} %", *sheet.battery_percent)
                                             : std::string{"battery: not told"};
  text += fmt::format("  {}, {}\n", battery, card_text(sheet));
  if (const auto settings = settings_text(sheet); !settings.empty()) text += fmt::format("  {}\n", settings);
  text += fmt::format("  {}{}\n", choices_text(sheet.choices), sheet.offers_burst ? ", bursts" : "");
  const auto found = obstacles(sheet, demand);
  for (const auto& finding : found) text += finding_text(finding);
  if (const auto list = untold(sheet); !list.empty())
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

std::string to_text(const std::vector<Trial>& trials) {
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
