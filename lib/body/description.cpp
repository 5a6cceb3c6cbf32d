#include "lib/body/description.h"

#include <fmt/format.h>

#include "lib/body/profile_text.h"
#include "lib/time/duration_text.h"

namespace noonfall::body {
namespace {

using namespace std::chrono_literals;

// Common practice, no source.
constexpr int too_low_percent = 20;
constexpr int low_percent = 50;
constexpr double spare_room = 1.2;     // times what the plan is expected to take
constexpr double nearly_empty = 0.05;  // of the card; a fuller one is slow to list
constexpr Duration long_enough_idle = 30min;

std::string words_of(const auto& said) {
  const auto ours = to_text(said.value);
  return said.words.empty() || said.words == ours ? std::string{ours} : fmt::format("\"{}\"", said.words);
}

class Findings {
 public:
  void stops(std::string code, std::string what, std::string cure) {
    list_.push_back(error_at({}, std::move(code), std::move(what), std::move(cure)));
  }
  void warns(std::string code, std::string what, std::string cure) {
    list_.push_back(warning_at({}, std::move(code), std::move(what), std::move(cure)));
  }
  [[nodiscard]] Diagnostics take() { return std::move(list_); }

 private:
  Diagnostics list_;
};

void look_at_identity(const Description& told, Findings& found) {
  if (told.serial.empty())
    found.stops("no-serial", "the body tells no serial number", "a body that a plan can name");
}

void look_at_switches(const Description& told, Findings& found) {
  if (told.mode && told.mode->value == ExposureMode::automatic) {
    found.stops("mode-dial", fmt::format("the exposure mode is {}", words_of(*told.mode)),
                "the mode dial at M");
  }
  if (told.mode && told.mode->value == ExposureMode::bulb)
    found.stops("mode-dial", "the exposure mode is bulb", "the mode dial at M");
  if (told.focus && told.focus->value == Focusing::by_itself) {
    found.stops("autofocus", fmt::format("autofocus is on ({})", words_of(*told.focus)),
                "manual focus, on the lens and on the body");
  }
  if (told.drive && told.drive->value == DriveMode::other && !told.sets_drive) {
    found.stops("drive", fmt::format("the drive mode is {}", words_of(*told.drive)),
                "single frames: no self-timer, no mirror up");
  }
  if (told.live_view.value_or(false))
    found.stops("live-view", "live view is on", "live view off; it drains the battery and holds the shutter");
  if (told.mirror_lock_up.value_or(false))
    found.stops("mirror", "mirror lock-up is on", "off: it takes two releases for one frame");
  if (told.noise_reduction.value_or(false)) {
    found.warns("noise-reduction", "noise reduction of long exposures is on",
                "off: it doubles the time of each long frame");
  }
}

void look_at_ways(const Description& told, Findings& found) {
  if (!told.why_no_release.empty())
    found.stops("no-release", told.why_no_release, "another body, or a newer camera library");
  if (!told.why_no_times.empty())
    found.stops("no-times", "its exposure times can't be set: " + told.why_no_times,
                "the mode dial at M; else another body, or a newer camera library");
}

void look_at_meddling(const Description& told, Findings& found) {
  for (const auto& each : told.meddling) {
    const auto what = fmt::format("{} is on (\"{}\")", to_text(each.value), each.words);
    if (each.value == Meddling::auto_iso || each.value == Meddling::bracketing)
      found.stops("meddling", what, "off: frames would be exposed otherwise than planned");
    else
      found.warns("meddling", what, "off, or at zero");
  }
}

void look_at_card(const Card& card, const Demand& demand, Findings& found) {
  if (card.read_only) {
    found.stops("read-only-card", "the card is write-protected", "its lock slid open");
    return;
  }
  const double wanted = demand.room.value * spare_room;
  if (card.free.value < wanted || card.free.value < 1) {
    found.stops("card-full", fmt::format("{:.1f} GB are free on the card", card.free.value / 1000),
                wanted > 0 ? fmt::format("{:.1f} GB, a fifth more than the plan takes", wanted / 1000)
                           : std::string{"an empty, formatted card"});
  } else if (card.capacity.value - card.free.value > nearly_empty * card.capacity.value) {
    found.warns("card-not-empty",
                fmt::format("{:.1f} of the card's {:.1f} GB are taken",
                            (card.capacity.value - card.free.value) / 1000, card.capacity.value / 1000),
                "an empty, formatted card: listing a full one costs seconds");
  }
}

void look_at_storage(const Description& told, const Demand& demand, Findings& found) {
  if (told.slot == CardSlot::empty) found.stops("no-card", "there is no card in the body", "a card");
  if (told.slot != CardSlot::empty && told.card) look_at_card(*told.card, demand, found);
  if (told.saved_to == SavedTo::memory) {
    found.stops("saved-elsewhere", "pictures go to the body's memory and would be lost",
                "pictures saved to the card");
  }
  if (demand.files && told.files && told.files->value != *demand.files) {
    found.stops(
        "file-format",
        fmt::format("the body writes {}, the plan wants {}", words_of(*told.files), to_text(*demand.files)),
        "the image quality of the plan, or `files` of the rig as the body has it");
  }
}

void look_at_power(const Description& told, Findings& found) {
  if (told.battery_percent && *told.battery_percent < low_percent) {
    const auto what = fmt::format("the battery is at {} %", *told.battery_percent);
    if (*told.battery_percent < too_low_percent)
      found.stops("low-battery", what, "a full battery, or a mains coupler");
    else
      found.warns("low-battery", what, "a full battery, or a mains coupler");
  }
  if (!told.power_off || *told.power_off == 0us || told.stays_awake) return;
  const auto what = fmt::format("the body switches itself off after {}", noonfall::to_text(*told.power_off));
  if (*told.power_off < long_enough_idle)
    found.stops("power-off", what, "auto power-off set to off in the body's menu");
  else
    found.warns("power-off", what, "auto power-off set to off in the body's menu");
}

}  // namespace

Diagnostics obstacles(const Description& told, const Demand& demand) {
  Findings found;
  look_at_identity(told, found);
  look_at_ways(told, found);
  look_at_switches(told, found);
  look_at_meddling(told, found);
  look_at_storage(told, demand, found);
  look_at_power(told, found);
  return found.take();
}

std::vector<std::string> untold(const Description& told) {
  std::vector<std::string> list;
  const auto unless = [&](bool is_told, const char* what) {
    if (!is_told) list.emplace_back(what);
  };
  unless(told.mode.has_value(), "the mode dial at M");
  unless(told.focus.has_value(), "manual focus");
  unless(told.drive.has_value(), "single frames");
  unless(told.files.has_value(), "the image quality");
  unless(told.slot == CardSlot::empty || told.card.has_value(), "a card with room");
  unless(told.battery_percent.has_value(), "a full battery");
  unless(told.live_view.has_value(), "live view off");
  unless(told.mirror_lock_up.has_value(), "mirror lock-up off");
  unless(told.noise_reduction.has_value(), "noise reduction of long exposures off");
  unless(told.power_off.has_value(), "auto power-off off");
  return list;
}

std::string_view to_text(ExposureMode mode) {
  constexpr std::string_view words[] = {"manual", "bulb", "automatic"};
  return words[static_cast<std::size_t>(mode)];
}

std::string_view to_text(Focusing focus) {
  return focus == Focusing::by_hand ? "by hand" : "by itself";
}

std::string_view to_text(DriveMode drive) {
  constexpr std::string_view words[] = {"single", "continuous", "other"};
  return words[static_cast<std::size_t>(drive)];
}

std::string_view to_text(Meddling meddling) {
  constexpr std::string_view words[] = {"auto ISO", "bracketing", "exposure delay", "exposure compensation"};
  return words[static_cast<std::size_t>(meddling)];
}

std::string_view to_text(SavedTo place) {
  return place == SavedTo::card ? "card" : "memory";
}

}  // namespace noonfall::body
