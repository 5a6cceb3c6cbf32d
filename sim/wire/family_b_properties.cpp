#include "sim/wire/family_b_properties.h"

#include "sim/wire/camera_codes.h"
#include "sim/wire/family_b_records.h"
#include "sim/wire/standard_properties.h"

namespace noonfall::wire {
namespace {

namespace code = family_b_records::code;
using body::Drive;
using body::Files;

Value as_u32(std::uint32_t value) {
  return value;
}

CameraAnswer done(Utc now) {
  return {rig::Answer::ok, now, {}};
}

/// Without manual the shutter time is the body's own affair: nothing is offered.
Property shutter(TetheredCamera& camera, const Panel& panel) {
  auto property = shutter_setting(code::shutter, camera, camera.settings(),
                                  [](exposure::Shutter each) { return eighths(each); });
  constexpr std::uint32_t bulb = 0x0C;
  property = with_bulb(std::move(property), as_u32(bulb), camera);
  if (panel.program == Panel::Program::manual) return property;
  return read_only(code::shutter, property.description.current, ValueList{});
}

Property drive(TetheredCamera& camera) {
  return setting_of(code::drive, camera, drives_of(camera.profile()), camera.settings().drive,
                    [](Drive each) { return std::uint32_t{each == Drive::single ? 0U : 1U}; });
}

/// "aeb": the step, of three frames as the body's menu has it unless somebody changes it; in eighths of a
/// stop (config.c:2731; dump canon-eos-r10).
Property bracket(TetheredCamera& camera) {
  const auto& offered = *camera.profile().brackets;
  std::vector<std::pair<double, Value>> codes{{0, as_u32(0)}};
  for (const auto step : offered.steps)
    codes.emplace_back(step.value, as_u32(static_cast<std::uint32_t>(step.value * 8 + 0.4)));
  const auto now = camera.bracket() ? camera.bracket()->by.value : 0;
  return coded_setting<double>(code::bracket, codes, now, [&camera](double by, Utc when) {
    using Order = BodyBracket::Order;
    constexpr int frames = 3;
    const auto order = camera.profile().brackets->middle_first ? Order::middle_then_outward : Order::rising;
    return camera.set_bracket(by > 0 ? std::optional{BodyBracket{frames, {by}, order}} : std::nullopt, when);
  });
}

std::uint32_t battery_code(int percent) {
  if (percent > 100) return static_cast<std::uint32_t>(percent);
  if (percent > 87) return 2;  // "100%"
  if (percent > 62) return 4;  // "75%"
  if (percent > 37) return 1;  // "50%"
  if (percent > 12) return 5;  // "25%"
  return 0;                    // "Low"
}

Property destination(Panel& panel) {
  return coded_setting<Destination>(
      code::destination, {{Destination::card, as_u32(2)}, {Destination::host, as_u32(4)}}, panel.destination,
      [&panel](Destination to, Utc now) { return panel.send_to(to, now); });
}

/// Seconds of the body's own clock.
Property clock(Panel& panel, Utc now) {
  const auto seconds = [](Utc instant) {
    return static_cast<std::uint32_t>(in_seconds(instant.time_since_epoch()));
  };
  Property property{
      {code::clock, Access::read_write, as_u32(0), as_u32(seconds(now + panel.clock_error)), {}}, {}};
  property.set = [&panel](const Value& wanted, Utc when) {
    panel.clock_error = Utc{std::chrono::seconds{number(wanted)}} - when;
    return done(when);
  };
  return property;
}

}  // namespace

void add_family_b_properties(PropertySheet& sheet, TetheredCamera& camera, Panel& panel,
                             const Traits& traits) {
  sheet.add(code::aperture, [&](Utc) {
    return aperture_setting(code::aperture, camera, camera.settings(),
                            [](exposure::FNumber each) { return eighths(each); });
  });
  sheet.add(code::shutter, [&](Utc) { return shutter(camera, panel); });
  sheet.add(code::iso, [&](Utc) {
    return iso_setting(code::iso, camera, camera.settings(),
                       [](exposure::Iso each) { return eighths(each); });
  });
  sheet.add(code::program, [&](Utc) {
    constexpr std::uint32_t manual = 3;
    const auto now = as_u32(panel.program == Panel::Program::manual ? manual : 0);
    return read_only(code::program, now, ValueList{now});
  });
  sheet.add(code::drive, [&](Utc) { return drive(camera); });
  sheet.add(code::focus, [&](Utc) {
    constexpr std::uint32_t manual = 3;
    const auto now = as_u32(panel.focus == Panel::Focus::manual ? manual : 0);
    return read_only(code::focus, now, ValueList{now});
  });
  sheet.add(code::battery, [&](Utc) {
    return read_only(code::battery, as_u32(battery_code(battery_shown(camera, panel))));
  });
  sheet.add(code::clock, [&](Utc now) { return clock(panel, now); });
  sheet.add(code::frames_left, [&](Utc) {
    return read_only(code::frames_left, as_u32(static_cast<std::uint32_t>(camera.frames_left())));
  });
  sheet.add(code::destination, [&](Utc) { return destination(panel); });
  sheet.add(code::image_format, [&](Utc) {
    return files_setting(code::image_format, camera,
                         {{Files::raw, family_b_records::raw_format},
                          {Files::jpeg, family_b_records::jpeg_format},
                          {Files::raw_and_jpeg, family_b_records::raw_and_jpeg_format}});
  });
  if (camera.profile().brackets) sheet.add(code::bracket, [&](Utc) { return bracket(camera); });
  sheet.add(code::live_view, [&](Utc) { return read_only(code::live_view, as_u32(0)); });
  add_more_settings(sheet, traits.more_settings);
}

}  // namespace noonfall::wire
