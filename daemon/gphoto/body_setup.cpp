#include "daemon/gphoto/body_setup.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "daemon/gphoto/dial.h"
#include "lib/base/number.h"
#include "lib/body/model.h"

namespace noonfall::gphoto {
namespace {

constexpr int low_battery_percent = 20;
constexpr std::uint64_t few_pictures = 100;
constexpr int read_back_tries = 20;
constexpr int read_back_wait_ms = 20;

/// Sets it and reads it back until the body shows it.
Tried<bool> settle(Session& session, const std::string& name, const std::string& label) {
  if (auto done = session.set(name, label); !done) return tl::unexpected{done.error()};
  for (int tries = 0; tries < read_back_tries; ++tries) {
    const auto control = session.control(name);
    if (!control) return tl::unexpected{control.error()};
    if (control->label == label) return true;
    (void)session.news(read_back_wait_ms);
  }
  return false;
}

std::optional<std::string> set_or_say(Session& session, const std::string& name, const std::string& label,
                                      const char* consequence) {
  const auto settled = settle(session, name, label);
  if (settled && *settled) return std::nullopt;
  return fmt::format(
      "{}: {} can't be set to \"{}\"{}", consequence, name, label,
      settled ? ": the body shows something else" : fmt::format(": {}", words_of(settled.error())));
}

void say_dial(Session& session, std::vector<std::string>& words) {
  const auto program = session.first_of({"autoexposuremode", "expprogram"});
  if (program && program->label != "M" && program->label != "Manual" && program->label != "Bulb") {
    words.push_back(
        fmt::format("the mode dial is at \"{}\": exposures can't be set; turn it to M", program->label));
  }
}

void say_focus(Session& session, std::vector<std::string>& words) {
  const auto focus = session.first_of({"focusmode"});
  if (focus && !focus->label.starts_with("Manual") && !focus->label.starts_with("MF")) {
    words.push_back(
        fmt::format("autofocus is on (\"{}\"): it may keep the shutter shut; set the lens to manual focus",
                    focus->label));
  }
}

void say_battery(Session& session, std::vector<std::string>& words) {
  const auto battery = session.first_of({"batterylevel"});
  const auto percent = battery ? percent_of(battery->label) : std::nullopt;
  if (percent && *percent < low_battery_percent)
    words.push_back(fmt::format("the battery is low: {}", battery->label));
}

void say_room(Session& session, const body::Profile& profile, body::Files files,
              std::vector<std::string>& words) {
  const auto room = session.room();
  if (!room) return;
  const auto megabytes = static_cast<double>(room->kilobytes) * 1024 / 1e6;
  const auto pictures = static_cast<std::uint64_t>(megabytes / body::frame_size(profile, files).value);
  if (pictures < few_pictures) words.push_back(fmt::format("the card has room for {} more frames", pictures));
}

/// It is never set: that would change the process's time zone. A second is all that bodies tell.
void say_clock(Session& session, Utc now, std::vector<std::string>& words) {
  const auto clock = session.first_of({"datetimeutc", "datetime"});
  const auto seconds = clock ? parse_integer(clock->label) : std::nullopt;
  if (!seconds || *seconds <= 0) return;
  const auto off = static_cast<double>(*seconds) + 0.5 - in_seconds(now.time_since_epoch());
  words.push_back(
      fmt::format("the body's clock is {:.0f} s {} UTC", std::abs(off), off > 0 ? "ahead of" : "behind"));
}

}  // namespace

std::optional<int> percent_of(const std::string& label) {
  const auto text = trim(label);
  if (text == "Low" || text == "low") return 0;
  if (!text.ends_with('%')) return std::nullopt;
  const auto percent = parse_integer(trim(text.substr(0, text.size() - 1)));
  return percent && *percent >= 0 && *percent <= 100 ? std::optional{static_cast<int>(*percent)}
                                                     : std::nullopt;
}

std::optional<std::string> point_to_card(Session& session) {
  const auto target = session.control("capturetarget");
  if (!target) return std::nullopt;
  const auto card = std::ranges::find_if(target->choices, [](const std::string& choice) {
    return choice.find("card") != std::string::npos || choice.find("Card") != std::string::npos;
  });
  constexpr const char* lost = "pictures would be lost in the body's memory";
  if (card == target->choices.end()) return fmt::format("{}: it offers no card", lost);
  return set_or_say(session, target->name, *card, lost);
}

std::optional<std::string> leave_files(Session& session, body::Files files) {
  const auto format = session.first_of({"imageformat", "imagequality"});
  if (!format) return std::nullopt;
  const auto choices = formats_of(format->choices);
  const Dial<body::Files> dial{format->name, format->label, choices};
  if (dial.value() == files || choices.empty()) return std::nullopt;
  const auto consequence = fmt::format("frames won't leave {} files", to_text(files));
  const auto wanted = std::ranges::find(choices, files, &Choice<body::Files>::value);
  if (wanted == choices.end()) return fmt::format("{}: the body doesn't offer it", consequence);
  return set_or_say(session, format->name, wanted->label, consequence.c_str());
}

std::vector<std::string> look_over(Session& session, const body::Profile& profile, body::Files files,
                                   Utc now) {
  std::vector<std::string> words;
  say_dial(session, words);
  say_focus(session, words);
  say_battery(session, words);
  say_room(session, profile, files, words);
  say_clock(session, now, words);
  return words;
}

}  // namespace noonfall::gphoto
