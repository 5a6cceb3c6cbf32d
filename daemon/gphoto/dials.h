// The exposure and drive settings of an open body: sent by the exact label of its own lists, and read back.
#pragma once

#include <optional>
#include <string>

#include "daemon/gphoto/dial.h"
#include "daemon/gphoto/session.h"
#include "lib/rig/device.h"

namespace noonfall::gphoto {

class Dials {
 public:
  /// Reads the lists and the present labels.
  [[nodiscard]] static Dials read(Session& session);

  /// How a setting went that had to be sent, in the order sent.
  struct Sent {
    std::string name;
    std::string label;
  };
  /// From now on a time too long for the list is set as bulb, if the list has that.
  void allow_bulb() { may_use_bulb_ = true; }
  [[nodiscard]] bool offers_bulb() const { return !bulb_label_.empty(); }
  /// The shutter would stay open until it is told to close.
  [[nodiscard]] bool is_at_bulb() const { return offers_bulb() && shutter_.label() == bulb_label_; }

  /// Sends the label nearest to each value that the body doesn't show; what it sent is added to `sent`. The
  /// first failure ends it. A value the lists can't hit is sent as its nearest: reading back tells.
  [[nodiscard]] Tried<void> send(Session& session, const rig::SettingsCall& wanted, std::vector<Sent>& sent);
  /// Whether the body shows this label now.
  [[nodiscard]] Tried<bool> shows(Session& session, const Sent& sent);

  /// What the body is set to, by the plan's names where they mean the same; what it can't be asked is as
  /// wanted.
  [[nodiscard]] exposure::Exposure exposure(const exposure::Exposure& wanted) const;
  [[nodiscard]] body::Drive drive() const;
  [[nodiscard]] bool has_burst() const { return drive_.label_for(body::Drive::continuous).has_value(); }
  /// A label that is no value ("bulb"), in words; empty when every dial shows one.
  [[nodiscard]] std::string no_value() const;

 private:
  template <class T>
  [[nodiscard]] Tried<void> send_one(Session& session, Dial<T>& dial, const std::optional<std::string>& label,
                                     std::vector<Sent>& sent);
  [[nodiscard]] std::optional<std::string> shutter_label(exposure::Shutter wanted) const;
  [[nodiscard]] bool is_bulb_wanted() const { return bulb_wanted_ && is_at_bulb(); }

  Dial<exposure::Shutter> shutter_;
  Dial<exposure::FNumber> aperture_;
  Dial<exposure::Iso> iso_;
  Dial<body::Drive> drive_;
  std::string bulb_label_;  // empty: not offered
  bool may_use_bulb_ = false;
  bool bulb_wanted_ = false;  // for the exposure last sent
};

}  // namespace noonfall::gphoto
