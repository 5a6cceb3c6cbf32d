#include "daemon/gphoto/body_sheet.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "daemon/gphoto/family.h"
#include "daemon/gphoto/settings.h"
#include "lib/base/number.h"
#include "lib/body/model.h"

namespace noonfall::gphoto {
namespace {

using body::BodySheet;
using body::Said;

constexpr int low_battery_percent = 20;
constexpr std::uint64_t few_pictures = 100;

/// Some drivers round times ("0.0167s"): what is as near to a name of the scale as a click allows has that
/// name.
exposure::Shutter named(exposure::Shutter shown) {
  const auto near = exposure::nearest(shown, exposure::third_stop_shutters());
  return near && near->matches() ? near->value : shown;
}

/// Each value once, rising.
template <class T, class Exact>
std::vector<T> rising(const std::optional<Control>& control, Reader<T> read, Exact exact) {
  std::vector<T> values;
  if (!control || control->read_only) return values;
  for (const auto& choice : choices_of(control->choices, read)) {
    if constexpr (std::is_same_v<T, exposure::Shutter>) {
      values.push_back(named(choice.value));
    } else {
      values.push_back(choice.value);
    }
  }
  std::ranges::sort(values, {}, exact);
  values.erase(std::unique(values.begin(), values.end()), values.end());
  return values;
}

template <class T>
std::optional<Said<T>> said(const std::optional<Control>& control, T (*meaning)(std::string_view)) {
  return control ? std::optional{Said<T>{meaning(control->label), control->label}} : std::nullopt;
}

body::ExposureMode mode_meant(std::string_view label) {
  if (label == "M" || label == "Manual") return body::ExposureMode::manual;
  return label.starts_with("Bulb") ? body::ExposureMode::bulb : body::ExposureMode::automatic;
}

std::optional<Said<body::ExposureMode>> mode_of(Session& session) {
  return said(session.first_of({"autoexposuremode", "expprogram"}), mode_meant);
}

std::optional<Said<body::Focusing>> focus_of(Session& session) {
  const auto control = session.first_of({"focusmode"});
  const auto focusing = control ? focusing_of(control->label) : std::nullopt;
  return focusing ? std::optional{Said<body::Focusing>{*focusing, control->label}} : std::nullopt;
}

std::optional<Said<body::Files>> files_of(Session& session) {
  const auto control = session.first_of(format_names);
  const auto known = formats_of({control ? control->label : std::string{}});
  if (known.empty()) return std::nullopt;
  return Said<body::Files>{known.front().value, control->label};
}

std::optional<bool> switch_of(Session& session, const char* name) {
  const auto control = session.control(name);
  if (!control) return std::nullopt;
  if (control->label == "1" || control->label == "On") return true;
  if (control->label == "0" || control->label == "Off") return false;
  return std::nullopt;
}

std::optional<Duration> power_off_of(Session& session) {
  const auto control = session.control("autopoweroff");
  const auto seconds = control ? parse_integer(control->label) : std::nullopt;
  if (!seconds || *seconds < 0 || *seconds > 86'400) return std::nullopt;
  return std::chrono::seconds{*seconds};
}

/// Bodies tell whole seconds, and ours is in the middle of one.
std::optional<Duration> clock_offset_of(Session& session, Utc now) {
  const auto control = session.first_of({"datetimeutc", "datetime"});
  const auto seconds = control ? parse_integer(control->label) : std::nullopt;
  if (!seconds || *seconds <= 0 || *seconds > 100'000'000'000) return std::nullopt;
  return Utc{std::chrono::seconds{*seconds}} + std::chrono::milliseconds{500} - now;
}

std::optional<body::SavedTo> saved_to_of(Session& session) {
  const auto control = session.control("capturetarget");
  return control ? gphoto::saved_to_of(std::string_view{control->label}) : std::nullopt;
}

constexpr double megabytes = 1024 / 1e6;  // in a store's kilobyte

void read_stores(Session& session, BodySheet& sheet) {
  const auto stores = session.stores();
  if (!stores) return;
  sheet.slot = stores->empty() ? body::CardSlot::empty : body::CardSlot::holds_card;
  if (stores->empty()) return;
  body::Card card;
  for (const auto& store : *stores) {
    card.free.value += static_cast<double>(store.free_kilobytes) * megabytes;
    card.capacity.value += static_cast<double>(store.kilobytes) * megabytes;
    card.read_only = card.read_only || store.read_only;
  }
  sheet.card = card;
}

/// It is never set: that would change the process's time zone.
std::string clock_words(Duration off) {
  const auto seconds = in_seconds(off);
  return fmt::format("the body's clock is {:.0f} s {} UTC", std::abs(seconds),
                     seconds > 0 ? "ahead of" : "behind");
}

std::string_view without_zeros(std::string_view serial) {
  return serial.substr(std::min(serial.find_first_not_of('0'), serial.size()));
}

}  // namespace

BodySheet read_sheet(Session& session, const Found& where, Utc now) {
  BodySheet sheet;
  const auto serials = serials_of(session);
  if (!serials.empty()) sheet.serial = serials.front();
  sheet.port = where.path;
  sheet.model = where.model;
  sheet.family = family_of(session)->name();
  const auto battery = session.control("batterylevel");
  if (battery) sheet.battery_percent = percent_of(battery->label);
  read_stores(session, sheet);
  sheet.saved_to = saved_to_of(session);
  sheet.mode = mode_of(session);
  sheet.focus = focus_of(session);
  const auto drive = session.first_of(drive_names);
  sheet.drive = said(drive, drive_mode_of);
  sheet.files = files_of(session);
  sheet.live_view = switch_of(session, "viewfinder");
  sheet.noise_reduction = switch_of(session, "longexpnr");
  sheet.power_off = power_off_of(session);
  sheet.clock_offset = clock_offset_of(session, now);
  sheet.choices = {
      rising<exposure::Shutter>(session.first_of(shutter_names), shutter_of, exposure::nominal_seconds),
      rising<exposure::FNumber>(session.first_of(aperture_names), f_number_of, &exposure::FNumber::tenths),
      rising<exposure::Iso>(session.first_of({"iso"}), iso_of, &exposure::Iso::value)};
  const auto drives = drive ? drives_of(drive->choices) : std::vector<Choice<body::Drive>>{};
  sheet.offers_burst = nearest_choice(drives, body::Drive::continuous) != nullptr;
  return sheet;
}

std::vector<std::string> serials_of(Session& session) {
  std::vector<std::string> serials;
  for (const auto* name : {"eosserialnumber", "serialnumber"}) {
    const auto control = session.control(name);
    if (!control) continue;
    auto serial = std::string{trim(control->label)};
    if (!serial.empty() && serial != "None") serials.push_back(std::move(serial));
  }
  return serials;
}

bool same_serial(std::string_view one, std::string_view other) {
  if (one.empty() || other.empty()) return false;
  const auto a = without_zeros(one);
  return a == without_zeros(other) && (!a.empty() || one == other);
}

std::vector<std::string> look_over(Session& session, const body::Profile& profile, body::Files files,
                                   Utc now) {
  std::vector<std::string> words;
  if (const auto mode = mode_of(session); mode && mode->value == body::ExposureMode::automatic) {
    words.push_back(
        fmt::format("the mode dial is at \"{}\": exposures can't be set; turn it to M", mode->words));
  }
  if (const auto focus = focus_of(session); focus && focus->value == body::Focusing::by_itself) {
    words.push_back(
        fmt::format("autofocus is on (\"{}\"): it may keep the shutter shut; set the lens to manual focus",
                    focus->words));
  }
  if (const auto low = low_battery(session, low_battery_percent))
    words.push_back(fmt::format("the battery is low: {}", *low));
  if (const auto stores = session.stores()) {
    double free = 0;
    for (const auto& store : *stores) free += static_cast<double>(store.free_kilobytes) * megabytes;
    const auto pictures = static_cast<std::uint64_t>(free / body::frame_size(profile, files).value);
    if (pictures < few_pictures)
      words.push_back(fmt::format("the card has room for {} more frames", pictures));
  }
  if (const auto off = clock_offset_of(session, now)) words.push_back(clock_words(*off));
  return words;
}

std::optional<std::string> low_battery(Session& session, int percent) {
  const auto battery = session.control("batterylevel");
  const auto left = battery ? percent_of(battery->label) : std::nullopt;
  return left && *left < percent ? std::optional{battery->label} : std::nullopt;
}

}  // namespace noonfall::gphoto
