#include "daemon/gphoto/sheet.h"

#include <algorithm>

#include "daemon/gphoto/body_search.h"
#include "daemon/gphoto/body_setup.h"
#include "daemon/gphoto/dial.h"
#include "lib/base/number.h"

namespace noonfall::gphoto {
namespace {

using body::BodySheet;
using body::Said;

double exact(exposure::Shutter shutter) {
  return exposure::nominal_seconds(shutter);
}
double exact(exposure::FNumber aperture) {
  return aperture.tenths;
}
double exact(exposure::Iso iso) {
  return iso.value;
}

/// Some drivers round times ("0.0167s"): what is as near to a name of the scale as a click allows has that
/// name.
exposure::Shutter named(exposure::Shutter shown) {
  const auto near = exposure::nearest(shown, exposure::third_stop_shutters());
  return near && near->matches() ? near->value : shown;
}
exposure::FNumber named(exposure::FNumber shown) {
  return shown;
}
exposure::Iso named(exposure::Iso shown) {
  return shown;
}

template <class T>
std::vector<T> rising(const std::optional<Control>& control, Reader<T> read) {
  std::vector<T> values;
  if (!control || control->read_only) return values;
  for (const auto& choice : choices_of(control->choices, read)) values.push_back(named(choice.value));
  const auto less = [](const T& a, const T& b) { return exact(a) < exact(b); };
  std::sort(values.begin(), values.end(), less);
  values.erase(std::unique(values.begin(), values.end()), values.end());
  return values;
}

std::string family_of(Session& session) {
  if (session.control("eosremoterelease")) return "b";
  return session.control("controlmode") ? "a" : "generic";
}

std::optional<Said<body::ExposureMode>> mode_of(Session& session) {
  const auto control = session.first_of({"autoexposuremode", "expprogram"});
  if (!control) return std::nullopt;
  if (control->label == "M" || control->label == "Manual")
    return Said<body::ExposureMode>{body::ExposureMode::manual, control->label};
  const bool bulb = control->label.starts_with("Bulb");
  return Said<body::ExposureMode>{bulb ? body::ExposureMode::bulb : body::ExposureMode::automatic,
                                  control->label};
}

std::optional<Said<body::Focusing>> focus_of(Session& session) {
  const auto control = session.first_of({"focusmode"});
  if (!control) return std::nullopt;
  const bool manual = control->label.starts_with("Manual") || control->label.starts_with("MF");
  return Said<body::Focusing>{manual ? body::Focusing::by_hand : body::Focusing::by_itself, control->label};
}

std::optional<Said<body::DriveMode>> drive_of(const std::optional<Control>& control) {
  if (!control) return std::nullopt;
  const auto& label = control->label;
  if (label.starts_with("Single")) return Said<body::DriveMode>{body::DriveMode::single, label};
  const bool burst = label == "Burst" || label.find("ontinuous") != std::string::npos;
  return Said<body::DriveMode>{burst ? body::DriveMode::continuous : body::DriveMode::other, label};
}

std::optional<Said<body::Files>> files_of(Session& session) {
  const auto control = session.first_of({"imageformat", "imagequality"});
  if (!control) return std::nullopt;
  const auto known = formats_of({control->label});
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
  if (!control) return std::nullopt;
  const bool card = control->label.find("ard") != std::string::npos;
  return card ? body::SavedTo::card : body::SavedTo::memory;
}

void read_stores(Session& session, BodySheet& sheet) {
  const auto stores = session.stores();
  if (!stores) return;
  sheet.slot = stores->empty() ? body::CardSlot::empty : body::CardSlot::holds_card;
  if (stores->empty()) return;
  body::Card card;
  constexpr double megabytes = 1024 / 1e6;
  for (const auto& store : *stores) {
    card.free.value += static_cast<double>(store.free_kilobytes) * megabytes;
    card.capacity.value += static_cast<double>(store.kilobytes) * megabytes;
    card.read_only = card.read_only || store.read_only;
  }
  sheet.card = card;
}

}  // namespace

BodySheet read_sheet(Session& session, const Found& where, Utc now) {
  BodySheet sheet;
  const auto serials = serials_of(session);
  if (!serials.empty()) sheet.serial = serials.front();
  sheet.port = where.path;
  sheet.model = where.model;
  sheet.family = family_of(session);
  const auto battery = session.control("batterylevel");
  if (battery) sheet.battery_percent = percent_of(battery->label);
  read_stores(session, sheet);
  sheet.saved_to = saved_to_of(session);
  sheet.mode = mode_of(session);
  sheet.focus = focus_of(session);
  const auto drive = session.first_of({"drivemode", "capturemode"});
  sheet.drive = drive_of(drive);
  sheet.files = files_of(session);
  sheet.live_view = switch_of(session, "viewfinder");
  sheet.noise_reduction = switch_of(session, "longexpnr");
  sheet.power_off = power_off_of(session);
  sheet.clock_offset = clock_offset_of(session, now);
  sheet.choices = {rising<exposure::Shutter>(session.first_of({"shutterspeed2", "shutterspeed"}), shutter_of),
                   rising<exposure::FNumber>(session.first_of({"f-number", "aperture"}), f_number_of),
                   rising<exposure::Iso>(session.first_of({"iso"}), iso_of)};
  const auto drives = drive ? drives_of(drive->choices) : std::vector<Choice<body::Drive>>{};
  sheet.offers_burst = nearest_choice(drives, body::Drive::continuous) != nullptr;
  return sheet;
}

}  // namespace noonfall::gphoto
