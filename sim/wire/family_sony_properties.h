// The properties of a Sony body, by the codes and types of the dumps sony-a7m4 and sony-a7r3a.
#pragma once

#include "sim/wire/dialect.h"

namespace noonfall::wire {

namespace sony {
enum : std::uint16_t {
  shutter = 0xD20D,
  focus_found = 0xD213,
  pictures_waiting = 0xD215,
  battery = 0xD218,
  iso = 0xD21E,
  target = 0xD222,
  shutter_direct = 0xD229,
  half_button = 0xD2C1,
  full_button = 0xD2C2,
  bulb_button = 0xD2C7,
};
// Of each button.
inline constexpr std::uint16_t up = 1;
inline constexpr std::uint16_t down = 2;
}  // namespace sony

/// Values are shown when they are taken.
void add_sony_properties(PropertySheet& sheet, TetheredCamera& camera, Panel& panel, const Traits& traits);

}  // namespace noonfall::wire
