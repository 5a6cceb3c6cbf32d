// One setting of a body: which label stands for a value, and which value the label it shows.
#pragma once

#include <algorithm>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "daemon/gphoto/choice_label.h"
#include "lib/body/profile.h"

namespace noonfall::gphoto {

/// Not there, not settable, or without a single value we can read: then it is left alone.
template <class T>
class Dial {
 public:
  Dial() = default;
  Dial(std::string name, std::string label, std::vector<Choice<T>> choices)
      : name_{std::move(name)}, label_{std::move(label)}, choices_{std::move(choices)} {}

  [[nodiscard]] bool exists() const { return !name_.empty(); }
  [[nodiscard]] const std::string& name() const { return name_; }
  [[nodiscard]] const std::string& label() const { return label_; }
  [[nodiscard]] const std::vector<Choice<T>>& choices() const { return choices_; }
  void shows(std::string label) { label_ = std::move(label); }

  /// The label nearest to `wanted`; none when there is nothing to choose from.
  [[nodiscard]] std::optional<std::string> label_for(T wanted) const {
    const auto* choice = nearest_choice(choices_, wanted);
    if (choice == nullptr) return std::nullopt;
    return choice->label;
  }
  /// What the present label stands for; none for "bulb" and the like.
  [[nodiscard]] std::optional<T> value() const {
    for (const auto& choice : choices_) {
      if (choice.label == label_) return choice.value;
    }
    return std::nullopt;
  }

 private:
  std::string name_;
  std::string label_;
  std::vector<Choice<T>> choices_;
};

/// Of two ways to follow each other there is no nearest: a body has it or not.
template <>
[[nodiscard]] inline const Choice<body::Drive>* nearest_choice(
    const std::vector<Choice<body::Drive>>& choices, body::Drive wanted) {
  const auto found = std::ranges::find(choices, wanted, &Choice<body::Drive>::value);
  return found == choices.end() ? nullptr : &*found;
}

/// The labels of single frames and of the body's fastest burst, among many that are neither.
[[nodiscard]] std::vector<Choice<body::Drive>> drives_of(const std::vector<std::string>& labels);

/// The label by which a shutter stays open until it is told to close; empty when there is none.
[[nodiscard]] std::string bulb_of(const std::vector<std::string>& labels);
/// Longer than every choice by more than a third of a stop; never without choices.
[[nodiscard]] bool is_too_long(exposure::Shutter wanted,
                               const std::vector<Choice<exposure::Shutter>>& choices);

/// The labels of what a frame leaves; of several the first, which is the largest or best in drivers' lists.
[[nodiscard]] std::vector<Choice<body::Files>> formats_of(const std::vector<std::string>& labels);

}  // namespace noonfall::gphoto
