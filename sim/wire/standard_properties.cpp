#include "sim/wire/standard_properties.h"

#include <fmt/format.h>

#include "lib/time/utc_text.h"
#include "sim/wire/camera_codes.h"
#include "sim/wire/ptp_codes.h"

namespace noonfall::wire {
namespace {

using body::Drive;
using body::Files;

template <class T>
Value as_u16(T code) {
  return static_cast<std::uint16_t>(code);
}

Property capture_mode(TetheredCamera& camera, const Traits& traits) {
  auto property =
      setting_of(property::still_capture_mode, camera, drives_of(camera.profile()), camera.settings().drive,
                 [](Drive drive) { return as_u16(drive == Drive::single ? 1 : 2); });
  if (traits.drive_dial) property.description.access = Access::read_only;
  return property;
}

Property burst_number(Panel& panel) {
  Property property{{property::burst_number, Access::read_write, as_u16(1), panel.burst,
                     ValueRange{as_u16(1), as_u16(999), as_u16(1)}},
                    {}};
  property.set = [&panel](const Value& wanted, Utc now) {
    panel.burst = static_cast<std::uint16_t>(number(wanted));
    return CameraAnswer{rig::Answer::ok, now, {}};
  };
  return property;
}

std::optional<Utc> parse_date_text(const std::string& text) {
  if (text.size() < 15 || text[8] != 'T') return std::nullopt;
  const auto part = [&](std::size_t from, std::size_t size) { return text.substr(from, size); };
  return parse_utc(fmt::format("{}-{}-{}T{}:{}:{}Z", part(0, 4), part(4, 2), part(6, 2), part(9, 2),
                               part(11, 2), part(13, 2)));
}

Property clock(Panel& panel, Utc now) {
  Property property{
      {property::date_time, Access::read_write, std::string{}, date_text(now + panel.clock_error), {}}, {}};
  property.set = [&panel](const Value& wanted, Utc when) {
    const auto told = parse_date_text(std::get<std::string>(wanted));
    if (!told) return CameraAnswer{rig::Answer::refused, when, "no date"};
    panel.clock_error = *told - when;
    return CameraAnswer{rig::Answer::ok, when, {}};
  };
  return property;
}

}  // namespace

std::string date_text(Utc instant) {
  auto text = noonfall::to_text(std::chrono::floor<std::chrono::seconds>(instant)).substr(0, 19);
  std::erase_if(text, [](char c) { return c == '-' || c == ':'; });
  return text;
}

const std::vector<body::Drive>& drives_of(const body::Profile& profile) {
  static const std::vector<Drive> both{Drive::single, Drive::continuous};
  static const std::vector<Drive> one{Drive::single};
  return profile.continuous.empty() ? one : both;
}

Property as_the_mode_allows(Property shutter, const Panel& panel, const Traits& traits) {
  if (panel.program == Panel::Program::manual) return shutter;
  if (traits.dial_shrinks_lists) return as_it_is(std::move(shutter));
  shutter.description.access = Access::read_only;
  return shutter;
}

int battery_shown(const TetheredCamera& camera, const Panel& panel) {
  return panel.battery_percent.value_or(camera.battery_percent());
}

void add_standard_properties(PropertySheet& sheet, TetheredCamera& camera, Panel& panel,
                             const Traits& traits) {
  sheet.add(property::battery_level, [&](Utc) {
    // As a range: for a plain value the driver's whole tree has a battery without a name.
    return read_only(property::battery_level, static_cast<std::uint8_t>(battery_shown(camera, panel)),
                     ValueRange{std::uint8_t{0}, std::uint8_t{100}, std::uint8_t{1}});
  });
  sheet.add(property::compression_setting, [&](Utc) {
    // Vendor values of the one table that the driver knows for this property.
    return files_setting(property::compression_setting, camera,
                         {{Files::jpeg, std::uint8_t{2}},
                          {Files::raw, std::uint8_t{4}},
                          {Files::raw_and_jpeg, std::uint8_t{7}}});
  });
  sheet.add(property::f_number,
            [&](Utc) { return aperture_setting(property::f_number, camera, camera.settings(), hundredths); });
  sheet.add(property::focus_mode, [&](Utc) {
    return read_only(property::focus_mode, as_u16(panel.focus == Panel::Focus::manual ? 1 : 2),
                     ValueList{as_u16(1), as_u16(2)});
  });
  sheet.add(property::exposure_time, [&](Utc) {
    return as_the_mode_allows(
        shutter_setting(property::exposure_time, camera, camera.settings(), tenths_of_ms), panel, traits);
  });
  sheet.add(property::exposure_program_mode, [&](Utc) {
    return read_only(property::exposure_program_mode, as_u16(panel.program == Panel::Program::manual ? 1 : 2),
                     ValueList{as_u16(1), as_u16(2)});
  });
  sheet.add(property::exposure_index, [&](Utc) {
    return iso_setting(property::exposure_index, camera, camera.settings(), exposure_index);
  });
  sheet.add(property::date_time, [&](Utc now) { return clock(panel, now); });
  sheet.add(property::still_capture_mode, [&](Utc) { return capture_mode(camera, traits); });
  sheet.add(property::burst_number, [&](Utc) { return burst_number(panel); });
  add_more_settings(sheet, traits.more_settings);
}

}  // namespace noonfall::wire
