// The properties of one body: what each is now, and what setting it does.
#pragma once

#include <functional>
#include <optional>
#include <utility>
#include <vector>

#include "sim/wire/ptp_property.h"
#include "sim/wire/tethered_camera.h"

namespace noonfall::wire {

struct Property {
  PropertyDescription description;
  /// Only values of the description's form come here. None: it can't be set.
  std::function<CameraAnswer(const Value&, Utc now)> set;
};

class PropertySheet {
 public:
  using Maker = std::function<Property(Utc now)>;

  void add(std::uint16_t code, Maker maker) { rows_.push_back({code, std::move(maker)}); }
  void drop(const std::vector<std::uint16_t>& codes);
  /// Changes how a property that is there is made.
  void amend(std::uint16_t code, const std::function<Property(Property)>& change);
  [[nodiscard]] std::vector<std::uint16_t> codes() const;
  [[nodiscard]] std::optional<Property> find(std::uint16_t code, Utc now) const;

 private:
  struct Row {
    std::uint16_t code;
    Maker maker;
  };
  std::vector<Row> rows_;
};

/// Whether the form allows the value.
[[nodiscard]] bool allows(const Form& form, const Value& value);

[[nodiscard]] Property read_only(std::uint16_t code, Value value, Form form = {});
/// What it is now is the only choice, and it can't be set.
[[nodiscard]] Property as_it_is(Property property);

/// Settings that nothing hangs on, so that a body has as many as a real one.
void add_more_settings(PropertySheet& sheet, int count);
inline constexpr std::uint16_t first_more_setting = 0xDA00;  // no vendor's

/// One of a camera's settings, offered as the codes of its choices; choices that share a code are one, and
/// setting it takes the first of them.
template <class T, class Encode>
Property setting_of(std::uint16_t code, TetheredCamera& camera, const std::vector<T>& offered, const T& now,
                    Encode encode) {
  ValueList codes;
  for (const auto& choice : offered) {
    const Value value = encode(choice);
    if (codes.empty() || codes.back() != value) codes.push_back(value);
  }
  const Value current = encode(now);
  Property property{{code, Access::read_write, codes.empty() ? current : codes.front(), current, codes}, {}};
  property.set = [&camera, &offered, encode](const Value& wanted, Utc when) {
    for (const auto& choice : offered) {
      if (Value{encode(choice)} == wanted) return camera.set(choice, when);
    }
    return CameraAnswer{rig::Answer::refused, when, "no such choice"};
  };
  return property;
}

/// Those of an exposure as shown; without a choice of apertures a zero that can't be set.
template <class Encode>
Property shutter_setting(std::uint16_t code, TetheredCamera& camera, const sim::Settings& shown,
                         Encode encode) {
  return setting_of(code, camera, camera.profile().choices.shutters, shown.exposure.shutter, encode);
}
template <class Encode>
Property aperture_setting(std::uint16_t code, TetheredCamera& camera, const sim::Settings& shown,
                          Encode encode) {
  const auto& offered = camera.profile().choices.apertures;
  if (offered.empty()) return read_only(code, decltype(encode(exposure::FNumber{})){}, ValueList{});
  return setting_of(code, camera, offered, shown.exposure.aperture.value_or(offered.front()), encode);
}
template <class Encode>
Property iso_setting(std::uint16_t code, TetheredCamera& camera, const sim::Settings& shown, Encode encode) {
  return setting_of(code, camera, camera.profile().choices.isos, shown.exposure.iso, encode);
}

/// A setting taken at once, whose values have codes; the list is in their order.
template <class T>
Property coded_setting(std::uint16_t code, const std::vector<std::pair<T, Value>>& codes, const T& now,
                       std::function<CameraAnswer(T, Utc)> take) {
  Property property{{code, Access::read_write, codes.front().second, codes.front().second, ValueList{}}, {}};
  auto& list = std::get<ValueList>(property.description.form);
  for (const auto& [value, stands_for] : codes) {
    list.push_back(stands_for);
    if (value == now) property.description.current = stands_for;
  }
  property.set = [codes, take = std::move(take)](const Value& wanted, Utc when) {
    for (const auto& [value, stands_for] : codes) {
      if (stands_for == wanted) return take(value, when);
    }
    return CameraAnswer{rig::Answer::refused, when, "no such choice"};
  };
  return property;
}

/// What a frame leaves.
[[nodiscard]] Property files_setting(std::uint16_t code, TetheredCamera& camera,
                                     const std::vector<std::pair<body::Files, Value>>& codes);

/// The shutter time with one choice more: bulb.
[[nodiscard]] Property with_bulb(Property shutter, const Value& bulb, TetheredCamera& camera);

}  // namespace noonfall::wire
