#include "daemon/gphoto/body_description.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "daemon/gphoto/family.h"
#include "daemon/gphoto/settings.h"
#include "lib/base/number.h"
#include "lib/body/model.h"

namespace noonfall::gphoto {
namespace {

using body::Description;
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

/// A number the driver has no name for: what it means isn't told.
bool is_unnamed(const std::string& label) {
  return label.empty() || label.starts_with("Unknown value") || label == "Undefined";
}

template <class T>
std::optional<Said<T>> said(const std::optional<Control>& control, T (*meaning)(std::string_view)) {
  if (!control || is_unnamed(control->label)) return std::nullopt;
  return Said<T>{meaning(control->label), control->label};
}

body::ExposureMode mode_meant(std::string_view label) {
  if (label == "M" || label == "Manual") return body::ExposureMode::manual;
  return label.starts_with("Bulb") ? body::ExposureMode::bulb : body::ExposureMode::automatic;
}

std::optional<Said<body::ExposureMode>> mode_of(Session& session) {
  return said(session.first_of(mode_names), mode_meant);
}

/// Without a lens on its contacts, a telescope say, a body shows no aperture and can't focus by itself,
/// whatever its focus mode ("One Shot" in the dumps of family b).
bool has_no_lens(Session& session) {
  const auto aperture = session.first_of(aperture_names);
  return aperture && (aperture->label == "Unknown value 0000" || aperture->label == "implicit auto");
}

std::optional<Said<body::Focusing>> focus_of(Session& session) {
  const auto control = session.first_of({"focusmode"});
  const auto focusing = control ? focusing_of(control->label) : std::nullopt;
  if (!focusing || (*focusing == body::Focusing::by_itself && has_no_lens(session))) return std::nullopt;
  return Said<body::Focusing>{*focusing, control->label};
}

std::vector<Said<body::Meddling>> meddling_of(Session& session) {
  using body::Meddling;
  struct Switch {
    const char* name;
    Meddling value;
  };
  constexpr std::array switches{Switch{"isoauto", Meddling::auto_iso},
                                Switch{"autoiso", Meddling::auto_iso},
                                Switch{"aeb", Meddling::bracketing},
                                Switch{"bracketing", Meddling::bracketing},
                                Switch{"exposuredelaymode", Meddling::exposure_delay},
                                Switch{"exposurecompensation", Meddling::compensation}};
  std::vector<Said<Meddling>> on;
  for (const auto& each : switches) {
    const auto control = session.control(each.name);
    if (!control || is_unnamed(control->label)) continue;
    const auto& label = control->label;
    const bool off = label == "Off" || label == "off" || label == "0" || label == "0.0" || label == "+0.0";
    if (!off) on.push_back({each.value, label});
  }
  // Bodies without a switch for it bracket by their drive.
  if (const auto drive = session.first_of(drive_names); drive && drive->label.starts_with("Bracketing"))
    on.push_back({Meddling::bracketing, drive->label});
  return on;
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

constexpr double megabytes = 1024 / 1e6;                   // in a store's kilobyte
constexpr std::uint64_t most_kilobytes = 512'000'000'000;  // half a petabyte: no card holds that

void read_stores(Session& session, bool tells_of_empty, Description& told) {
  const auto stores = session.stores();
  if (!stores) return;
  const auto free = free_kilobytes(*stores);
  if (!free && !tells_of_empty) return;
  told.slot = stores->empty() ? body::CardSlot::empty : body::CardSlot::holds_card;
  if (!free) return;
  body::Card card;
  card.read_only = true;
  card.free.value = static_cast<double>(*free) * megabytes;
  for (const auto& store : *stores) {
    card.capacity.value += static_cast<double>(store.kilobytes) * megabytes;
    card.read_only = card.read_only && store.read_only;
  }
  told.card = card;
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

Description read_description(Session& session, const ListedBody& where, Utc now) {
  Description told;
  const auto serials = serials_of(session);
  if (!serials.empty()) told.serial = serials.front();
  told.port = where.path;
  told.model = where.model;
  const auto family = family_of(session);
  told.family = family->name();
  told.why_no_release = family->why_no_release();
  const auto battery = session.control("batterylevel");
  if (battery) told.battery_percent = percent_of(battery->label);
  read_stores(session, family->tells_of_stores(), told);
  told.saved_to = family->saved_to(session);
  told.mode = mode_of(session);
  told.focus = focus_of(session);
  const auto drive = family->tells_drive() ? session.first_of(drive_names) : std::nullopt;
  told.drive = said(drive, drive_mode_of);
  told.meddling = meddling_of(session);
  told.files = files_of(session);
  told.live_view = switch_of(session, "viewfinder");
  told.noise_reduction = switch_of(session, "longexpnr");
  told.power_off = power_off_of(session);
  const auto power_off = session.control("autopoweroff");
  told.stays_awake = power_off && !power_off->read_only;
  told.clock_offset = clock_offset_of(session, now);
  family->open_settings(session);
  told.choices = {
      rising<exposure::Shutter>(session.first_of(shutter_names), shutter_of, exposure::nominal_seconds),
      rising<exposure::FNumber>(session.first_of(aperture_names), f_number_of, &exposure::FNumber::tenths),
      rising<exposure::Iso>(session.first_of({"iso"}), iso_of, &exposure::Iso::value)};
  const auto drives = drive ? drives_of(drive->choices) : std::vector<Choice<body::Drive>>{};
  told.sets_drive = drive && !drive->read_only && nearest_choice(drives, body::Drive::single) != nullptr;
  told.offers_burst =
      nearest_choice(drives, body::Drive::continuous) != nullptr && family->bursts() != Bursts::none;
  const bool at_m = !told.mode || told.mode->value == body::ExposureMode::manual;
  if (told.choices.shutters.size() < 2 && at_m) {
    told.why_no_times = family->why_no_times();
    if (told.why_no_times.empty()) told.why_no_times = "the driver offers none";
  }
  family->close_settings(session);
  return told;
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
  if (const auto focus = focus_of(session); focus && focus->value == body::Focusing::by_itself) {
    words.push_back(
        fmt::format("autofocus is on (\"{}\"): it may keep the shutter shut; set the lens to manual focus",
                    focus->words));
  }
  if (const auto low = low_battery(session, low_battery_percent))
    words.push_back(fmt::format("the battery is low: {}", *low));
  const auto stores = session.stores();
  if (const auto left = stores ? free_kilobytes(*stores) : std::nullopt) {
    const auto free = static_cast<double>(*left) * megabytes;
    const auto pictures = static_cast<std::uint64_t>(free / body::frame_size(profile, files).value);
    if (pictures < few_pictures)
      words.push_back(fmt::format("the card has room for {} more frames", pictures));
  }
  if (const auto off = clock_offset_of(session, now)) words.push_back(clock_words(*off));
  return words;
}

std::optional<ShownMode> shown_mode(Session& session) {
  const auto mode = mode_of(session);
  if (!mode) return std::nullopt;
  return ShownMode{mode->words, mode->value == body::ExposureMode::automatic};
}

std::optional<std::string> stay_awake(Session& session) {
  const auto idle = power_off_of(session);
  if (!idle || *idle == Duration{}) return std::nullopt;
  const auto done = session.set("autopoweroff", "0");
  if (done) return "the body's auto power-off is set to off";
  return fmt::format("the body switches itself off after {:.0f} s idle, and that can't be set: {}",
                     in_seconds(*idle), words_of(done.error()));
}

std::optional<std::uint64_t> free_kilobytes(const std::vector<Store>& stores) {
  std::uint64_t free = 0;
  for (const auto& store : stores) {
    if (std::max(store.free_kilobytes, store.kilobytes) > most_kilobytes) return std::nullopt;
    free += store.free_kilobytes;
  }
  return stores.empty() ? std::nullopt : std::optional{free};
}

std::optional<std::string> low_battery(Session& session, int percent) {
  const auto battery = session.control("batterylevel");
  const auto left = battery ? percent_of(battery->label) : std::nullopt;
  return left && *left < percent ? std::optional{battery->label} : std::nullopt;
}

}  // namespace noonfall::gphoto
