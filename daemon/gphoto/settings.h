// The exposure and drive settings of an open body: sent by the exact label of its own lists, and read back.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "daemon/gphoto/labels.h"
#include "daemon/gphoto/session.h"
#include "lib/rig/device.h"

namespace noonfall::gphoto {

/// One setting: which label stands for a value, and which value the label it shows. Not there, not settable,
/// or without a single value we can read: then it is left alone.
template <class T>
struct Setting {
  std::string name;   // empty: not there
  std::string label;  // shown, as far as is known
  std::vector<Choice<T>> choices;
  bool read_only = false;  // by a dial, or because the mode says so

  /// The label nearest to `wanted`; none when there is nothing to choose from.
  [[nodiscard]] std::optional<std::string> label_for(T wanted) const {
    const auto* choice = nearest_choice(choices, wanted);
    if (choice == nullptr || read_only) return std::nullopt;
    return choice->label;
  }
  /// What the present label stands for; none for "bulb" and the like.
  [[nodiscard]] std::optional<T> value() const {
    const auto found = std::ranges::find(choices, label, &Choice<T>::label);
    if (found == choices.end()) return std::nullopt;
    return found->value;
  }
  /// Of a control's labels those that `read` makes something of; the setting that isn't there of none.
  [[nodiscard]] static Setting of(std::optional<Control> control, auto read) {
    if (!control) return {};
    auto choices = read(control->choices);
    return {std::move(control->name), std::move(control->label), std::move(choices), control->read_only};
  }
};

/// A label of a shutter time, and the one to send for it.
struct Respelling {
  std::string shown;
  std::string sent;
};

/// A setting on its way to the body.
struct Sent {
  std::string name;
  std::string label;
  bool told = false;  // by the body's own news, since it was sent
};

class Settings {
 public:
  /// Reads the lists and the present labels.
  [[nodiscard]] static Settings read(Session& session);

  /// From now on a time too long for the list is set as bulb, if the list has that.
  void allow_bulb() { may_use_bulb_ = true; }
  void respell(Respelling times) { respelling_ = std::move(times); }
  /// Of a body that takes one frame a release, whatever its drive.
  void forbid_bursts() {
    std::erase_if(drive_.choices, [](const auto& each) { return each.value == body::Drive::continuous; });
  }
  /// By what the body offered when it was read.
  [[nodiscard]] bool can_make(const exposure::Exposure& wanted) const;
  /// The body told a setting of this name by itself. Whether it is one of these, and shows something new.
  bool hear(std::string_view name, std::string_view label);
  [[nodiscard]] bool has(std::string_view name) const {
    return name == shutter_.name || name == aperture_.name || name == iso_.name || name == drive_.name;
  }
  /// The shutter would stay open until it is told to close.
  [[nodiscard]] bool is_at_bulb() const { return !bulb_label_.empty() && shutter_.label == bulb_label_; }

  /// Sends the label nearest to each value that the body doesn't show; what it sent is added to `sent`. The
  /// first failure ends it. A value the lists can't hit is sent as its nearest: reading back tells.
  [[nodiscard]] Tried<void> send(Session& session, const rig::SettingsCall& wanted, std::vector<Sent>& sent);
  /// Whether the body shows this label now.
  [[nodiscard]] Tried<bool> shows(Session& session, const Sent& sent);

  /// What the body is set to as far as is known, by the plan's names where they mean the same; what it can't
  /// be asked is as wanted.
  [[nodiscard]] exposure::Exposure exposure(const exposure::Exposure& wanted) const;
  [[nodiscard]] body::Drive drive() const { return drive_.value().value_or(body::Drive::single); }
  /// A label that is no value ("bulb"), or another than wanted on a setting that can't be set, in words;
  /// empty when there is none.
  [[nodiscard]] std::string why_otherwise(const exposure::Exposure& wanted) const;
  /// The body's own names for an exposure.
  [[nodiscard]] const Setting<exposure::Shutter>& shutter() const { return shutter_; }
  [[nodiscard]] const Setting<exposure::FNumber>& aperture() const { return aperture_; }
  [[nodiscard]] const Setting<exposure::Iso>& iso() const { return iso_; }

 private:
  [[nodiscard]] bool is_bulb_wanted() const { return bulb_wanted_ && is_at_bulb(); }

  Setting<exposure::Shutter> shutter_;
  Setting<exposure::FNumber> aperture_;
  Setting<exposure::Iso> iso_;
  Setting<body::Drive> drive_;
  std::string bulb_label_;  // empty: not offered
  Respelling respelling_;
  bool may_use_bulb_ = false;
  bool bulb_wanted_ = false;  // for the exposure last sent
};

/// The names a setting may have in the driver; of two the first is the exact one.
inline const std::vector<std::string> shutter_names{"shutterspeed2", "shutterspeed"};
inline const std::vector<std::string> aperture_names{"f-number", "aperture"};
inline const std::vector<std::string> drive_names{"drivemode", "capturemode"};
inline const std::vector<std::string> format_names{"imageformat", "imagequality"};

}  // namespace noonfall::gphoto
