#include "sim/wire/family_sony_properties.h"

#include <algorithm>
#include <cmath>

#include "sim/wire/camera_codes.h"
#include "sim/wire/standard_properties.h"

namespace noonfall::wire {
namespace {

using body::Drive;
using body::Files;

Value as_u16(int value) {
  return static_cast<std::uint16_t>(value);
}

ValueList list_of(const std::vector<std::uint16_t>& codes) {
  return {codes.begin(), codes.end()};
}

/// A range where others have a list.
template <class T>
Property in_range(Property property, T most) {
  property.description.form = ValueRange{T{0}, most, T{1}};
  return property;
}

Property shutter(std::uint16_t code, TetheredCamera& camera, Utc now) {
  return with_bulb(shutter_setting(code, camera, camera.shown(now), fraction_of_tenths), std::uint32_t{0},
                   camera);
}

Property iso(TetheredCamera& camera, Utc now) {
  auto property = iso_setting(sony::iso, camera, camera.shown(now),
                              [](exposure::Iso each) { return static_cast<std::uint32_t>(each.value); });
  auto& list = std::get<ValueList>(property.description.form);
  list.insert(list.begin(), std::uint32_t{0xFFFFFF});  // automatic; it can't be set here
  return property;
}

/// The brackets among its drives: the frames, the step, held or one by one (config.c:4091).
std::vector<std::pair<BodyBracket, std::uint16_t>> brackets_of(const body::Profile& profile) {
  constexpr std::pair<double, int> steps[] = {{1.0 / 3, 0x37}, {0.5, 0x57}, {2.0 / 3, 0x77},
                                              {1, 0x11},       {2, 0x21},   {3, 0x31}};
  std::vector<std::pair<BodyBracket, std::uint16_t>> all;
  if (!profile.brackets) return all;
  const auto order =
      profile.brackets->middle_first ? BodyBracket::Order::middle_then_outward : BodyBracket::Order::rising;
  for (const auto step : profile.brackets->steps) {
    for (const auto& [by, code] : steps) {
      if (std::abs(by - step.value) > 0.1) continue;
      for (const int frames : {3, 5, 9}) {
        if (std::ranges::count(profile.brackets->frames, frames) > 0 && (by < 2 || frames < 9))
          all.emplace_back(BodyBracket{frames, step, order},
                           static_cast<std::uint16_t>(0x8000 | frames << 8 | code));
      }
    }
  }
  return all;
}

/// Its brackets are drives.
Property with_brackets(Property drive, TetheredCamera& camera) {
  const auto brackets = brackets_of(camera.profile());
  auto& list = std::get<ValueList>(drive.description.form);
  for (const auto& [bracket, code] : brackets) {
    list.push_back(as_u16(code));
    if (camera.bracket() == bracket) drive.description.current = as_u16(code);
  }
  drive.set = [&camera, brackets, other = std::move(drive.set)](const Value& wanted, Utc now) {
    for (const auto& [bracket, code] : brackets) {
      if (as_u16(code) != wanted) continue;
      auto answer = camera.set_bracket(bracket, now);
      return answer.answer == rig::Answer::ok ? camera.set(Drive::continuous, now) : answer;
    }
    auto answer = other(wanted, now);
    if (answer.answer == rig::Answer::ok) (void)camera.set_bracket(std::nullopt, now);
    return answer;
  };
  return drive;
}

/// Slower bursts, a self-timer and single brackets are on the list too, and can't be set here.
Property drive(TetheredCamera& camera, const Traits& traits, Utc now) {
  constexpr std::uint16_t fastest = 0x8010;
  auto property =
      setting_of(property::still_capture_mode, camera, drives_of(camera.profile()), camera.shown(now).drive,
                 [](Drive each) { return as_u16(each == Drive::single ? 1 : fastest); });
  auto& list = std::get<ValueList>(property.description.form);
  for (const auto other : {2, 0x8015, 0x8012, 0x8005, 0x8310, 0x8510}) list.push_back(as_u16(other));
  property = with_brackets(std::move(property), camera);
  if (traits.drive_dial) property.description.access = Access::read_only;
  return property;
}

Property quality(TetheredCamera& camera) {
  return files_setting(property::compression_setting, camera,
                       {{Files::jpeg, std::uint8_t{0x03}},
                        {Files::raw, std::uint8_t{0x10}},
                        {Files::raw_and_jpeg, std::uint8_t{0x13}}});
}

Property target(Panel& panel) {
  return coded_setting<Destination>(
      sony::target,
      {{Destination::host, as_u16(1)}, {Destination::both, as_u16(17)}, {Destination::card, as_u16(16)}},
      panel.destination, [&panel](Destination to, Utc now) { return panel.send_to(to, now); });
}

Property pictures_waiting(const TetheredCamera& camera, Utc now) {
  constexpr int ready = 0x8000;
  const auto count = static_cast<int>(camera.card().held(now).size());
  return read_only(sony::pictures_waiting, as_u16(count == 0 ? 0 : ready + count),
                   ValueRange{as_u16(0), as_u16(0xFFFF), as_u16(1)});
}

void add_settings(PropertySheet& sheet, TetheredCamera& camera, Panel& panel, const Traits& traits) {
  sheet.add(property::f_number, [&](Utc now) {
    return in_range(aperture_setting(property::f_number, camera, camera.shown(now), hundredths),
                    std::uint16_t{0xFFFF});
  });
  sheet.add(sony::shutter, [&](Utc now) {
    return in_range(as_the_mode_allows(shutter(sony::shutter, camera, now), panel, traits),
                    std::uint32_t{0xFFFFFFFF});
  });
  if (traits.direct_times) {
    sheet.add(sony::shutter_direct, [&](Utc now) {
      return as_the_mode_allows(shutter(sony::shutter_direct, camera, now), panel, traits);
    });
  }
  sheet.add(sony::iso, [&](Utc now) { return iso(camera, now); });
  sheet.add(property::still_capture_mode, [&](Utc now) { return drive(camera, traits, now); });
  sheet.add(property::compression_setting, [&](Utc) { return quality(camera); });
  sheet.add(sony::target, [&](Utc) { return target(panel); });
}

}  // namespace

void add_sony_properties(PropertySheet& sheet, TetheredCamera& camera, Panel& panel, const Traits& traits) {
  add_settings(sheet, camera, panel, traits);
  sheet.add(property::focus_mode, [&](Utc) {
    const bool manual = panel.focus == Panel::Focus::manual;
    return read_only(property::focus_mode, as_u16(manual ? 1 : 0x8005),
                     list_of({1, 2, 0x8004, 0x8005, 0x8006}));
  });
  sheet.add(property::exposure_program_mode, [&](Utc) {
    const bool manual = panel.program == Panel::Program::manual;
    return read_only(property::exposure_program_mode, as_u16(manual ? 1 : 3), list_of({0x8000, 2, 3, 4, 1}));
  });
  sheet.add(sony::focus_found, [&](Utc) {
    return read_only(sony::focus_found, panel.focus_fails ? std::uint8_t{1} : std::uint8_t{2});
  });
  sheet.add(sony::pictures_waiting, [&](Utc now) { return pictures_waiting(camera, now); });
  sheet.add(sony::battery, [&](Utc) {
    return read_only(sony::battery, static_cast<std::int8_t>(battery_shown(camera, panel)),
                     ValueRange{std::int8_t{-1}, std::int8_t{100}, std::int8_t{1}});
  });
  for (const std::uint16_t button : {sony::half_button, sony::full_button, sony::bulb_button}) {
    if (traits.hides_buttons) break;
    sheet.add(button, [button](Utc) { return read_only(button, sony::up, list_of({sony::up, sony::down})); });
  }
  add_more_settings(sheet, traits.more_settings);
}

}  // namespace noonfall::wire
