// What the families of bodies do each in their own way: where pictures go, how the shutter is released with
// the least delay, what a burst is, whose word a setting is, what counts as busy. Each family is a file.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "daemon/gphoto/session.h"
#include "lib/body/profile.h"

namespace noonfall::gphoto {

/// As it stands it is the family of all others: the driver's own trigger, which may wait for the body to be
/// ready, and on some bodies until the exposure is over.
class Family {
 public:
  virtual ~Family() = default;
  /// As a body's sheet has it.
  [[nodiscard]] virtual const char* name() const { return "generic"; }

  /// Pictures go to the card: left in the body's memory they are lost. Says why they wouldn't; nothing when
  /// all is well. Bodies that know only a card need nothing. First of all settings, as the driver would
  /// choose the memory with the first other one; and again after every reopening.
  [[nodiscard]] virtual std::optional<std::string> point_to_card(Session& session);
  /// What a frame leaves is set to what the plan counts on. Says why it couldn't be.
  [[nodiscard]] virtual std::optional<std::string> leave_files(Session& session, body::Files files);
  /// The driver shows a new setting as soon as it has sent it; only the body's news says that it is taken.
  [[nodiscard]] virtual bool settings_are_told() const { return false; }
  /// What a failed call comes to.
  [[nodiscard]] virtual rig::Answer answer_of(const DriverError& error) const;

  /// A burst lasts from begin() to end(); otherwise ready() tells the body how many frames it has.
  [[nodiscard]] virtual bool holds_bursts() const { return false; }
  [[nodiscard]] virtual Tried<void> ready(Session& session, std::size_t frames);
  [[nodiscard]] virtual Tried<void> begin(Session& session) { return session.trigger(); }
  /// After every begin() that went well, and before anything else.
  [[nodiscard]] virtual Tried<void> end(Session& /*session*/) { return {}; }

  /// Whether the two that follow do anything. They need the shutter time to be at bulb.
  [[nodiscard]] virtual bool has_bulb() const { return false; }
  [[nodiscard]] virtual Tried<void> open_bulb(Session& /*session*/) { return {}; }
  /// Once, without patience; does no harm to a body whose shutter is closed.
  [[nodiscard]] virtual Tried<void> close_bulb(Session& /*session*/) { return {}; }

 private:
  std::size_t burst_length_ = 0;  // as told; 0: never
};

/// The body is asked what it has.
[[nodiscard]] std::unique_ptr<Family> family_of(Session& session);
/// Each empty for a body of another one.
[[nodiscard]] std::unique_ptr<Family> family_a(Session& session);
[[nodiscard]] std::unique_ptr<Family> family_b(Session& session);

/// Of the strokes a shutter button offers, pressing it down and letting it go: without autofocus where there
/// is a choice. Empty where there is none.
struct Strokes {
  std::string press;
  std::string let_go;
  bool operator==(const Strokes&) const = default;
};
[[nodiscard]] Strokes strokes_of(const std::vector<std::string>& choices);

}  // namespace noonfall::gphoto
