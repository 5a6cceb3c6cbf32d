// The labels of a body's choice lists as values: each maker, and each version of the driver, writes its own.
#pragma once

#include <algorithm>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "lib/body/description.h"
#include "lib/body/profile.h"
#include "lib/exposure/exposure.h"
#include "lib/exposure/scale.h"

namespace noonfall::gphoto {

/// "1/500", "10/25", "0.0020s", "0.4", "2", "2m" (minutes); nothing for "bulb", "auto", "x 200" and whatever
/// else is no time, 65535/65535 among them.
[[nodiscard]] std::optional<exposure::Shutter> shutter_of(std::string_view label);
/// "f/5.6", "5.6", "f/8.0".
[[nodiscard]] std::optional<exposure::FNumber> f_number_of(std::string_view label);
/// "400"; nothing for "Auto", for one with noise reduction by several frames, and for numbers above 1000 that
/// are no multiple of ten: codes that the driver shows as they are (65535).
[[nodiscard]] std::optional<exposure::Iso> iso_of(std::string_view label);

/// One entry of a choice list that stands for a value.
template <class T>
struct Choice {
  std::string label;
  T value;
  bool operator==(const Choice&) const = default;
};

template <class T>
using Reader = std::optional<T> (*)(std::string_view);

/// Those labels that are values, in the body's order.
template <class T>
[[nodiscard]] std::vector<Choice<T>> choices_of(const std::vector<std::string>& labels, Reader<T> read) {
  std::vector<Choice<T>> choices;
  for (const auto& label : labels) {
    if (const auto value = read(label)) choices.push_back({label, *value});
  }
  return choices;
}

/// The choice nearest in stops, the first of equals; none when the list has no value.
template <class T>
[[nodiscard]] const Choice<T>* nearest_choice(const std::vector<Choice<T>>& choices, T wanted) {
  std::vector<T> values;
  for (const auto& choice : choices) values.push_back(choice.value);
  const auto found = exposure::nearest(wanted, values);
  return found ? &*std::ranges::find(choices, found->value, &Choice<T>::value) : nullptr;
}

/// Of two ways to follow each other there is no nearest: a body has it or not.
template <>
[[nodiscard]] inline const Choice<body::Drive>* nearest_choice(
    const std::vector<Choice<body::Drive>>& choices, body::Drive wanted) {
  const auto found = std::ranges::find(choices, wanted, &Choice<body::Drive>::value);
  return found == choices.end() ? nullptr : &*found;
}

/// What the body shows, under the name the plan has for it: labels are rounded ("0.3" for 1/3 s), so whatever
/// is as near to `wanted` as one click of a dial allows is `wanted`.
template <class T>
[[nodiscard]] T as_named(T shown, T wanted) {
  const auto near = exposure::nearest(wanted, std::vector<T>{shown});
  return near && near->matches() ? wanted : shown;
}

/// The labels of single frames and of the body's fastest burst, among many that are neither.
[[nodiscard]] std::vector<Choice<body::Drive>> drives_of(const std::vector<std::string>& labels);

/// The label by which a shutter stays open until it is told to close; empty when there is none.
[[nodiscard]] std::string bulb_of(const std::vector<std::string>& labels);
/// Longer than every choice by more than a third of a stop; never without choices.
[[nodiscard]] bool is_too_long(exposure::Shutter wanted,
                               const std::vector<Choice<exposure::Shutter>>& choices);

/// The labels of what a frame leaves, the largest and best first: drivers' lists begin with "JPEG Basic".
[[nodiscard]] std::vector<Choice<body::Files>> formats_of(const std::vector<std::string>& labels);

/// What a label says of the body; nothing where it says nothing that we know.
[[nodiscard]] std::optional<body::Focusing> focusing_of(std::string_view label);
[[nodiscard]] std::optional<body::SavedTo> saved_to_of(std::string_view label);
[[nodiscard]] body::DriveMode drive_mode_of(std::string_view label);

/// Of "80%", "Low" and their like; none when it says something else.
[[nodiscard]] std::optional<int> percent_of(const std::string& label);

}  // namespace noonfall::gphoto
