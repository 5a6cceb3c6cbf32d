// What the families of bodies do each in their own way: where pictures go, how the shutter is released with
// the least delay, what a burst is, whose word a setting is, what counts as busy. Each family is a file, and
// does only what the body advertises.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "daemon/gphoto/session.h"
#include "daemon/gphoto/settings.h"
#include "lib/body/description.h"
#include "lib/body/profile.h"

namespace noonfall::gphoto {

/// How a body takes several frames at one release: not at all, told their number beforehand, or for as long
/// as its button is down.
enum class Bursts { none, told, held };

/// A bracket that a body takes by itself.
struct OwnBracket {
  std::size_t frames = 0;
  Stops by;
  bool middle_first = false;  // else from short to long
};
/// Once it is on: the drive beside it (bracket: the drive itself is it), and what was sent that the body may
/// take later.
struct BracketInForce {
  body::Drive drive = body::Drive::continuous;
  std::vector<Sent> sent;
};

/// As it stands it is the family of all others: the driver's own trigger, which may wait for the body to be
/// ready, and on some bodies until the exposure is over.
class Family {
 public:
  Family(About about, Bursts bursts) : about_{std::move(about)}, bursts_{bursts} {}
  virtual ~Family() = default;
  /// As a body's description has it.
  [[nodiscard]] virtual const char* name() const { return "generic"; }
  /// Why no frame can be taken with this body; empty when one can.
  [[nodiscard]] virtual std::string why_no_release() const;
  /// Why the exposure times can't be set, where that is known.
  [[nodiscard]] virtual std::string why_no_times() const { return {}; }

  /// Lets the host set what the body keeps to itself otherwise. Again whenever its dials were turned.
  virtual void open_settings(Session& /*session*/) {}
  /// Leaves the body as it was before open_settings().
  virtual void close_settings(Session& /*session*/) {}
  /// Pictures go to the card: left in the body's memory they are lost. Says why they wouldn't; nothing when
  /// all is well. Bodies that know only a card need nothing. First of all settings, as the driver would
  /// choose the memory with the first other one; and again after every reopening.
  [[nodiscard]] virtual std::optional<std::string> point_to_card(Session& session);
  /// Where they will be after point_to_card(), as far as that is told.
  [[nodiscard]] virtual std::optional<body::SavedTo> saved_to(Session& session) const;
  /// What a frame leaves is set to what the plan counts on. Says why it couldn't be.
  [[nodiscard]] virtual std::optional<std::string> leave_files(Session& session, body::Files files);
  /// No store told means no card; otherwise such a body just doesn't tell while it is tethered.
  [[nodiscard]] virtual bool tells_of_stores() const { return true; }
  /// Otherwise the driver's word for it means something else: Fujifilm's D201 is shown as "Self-timer".
  [[nodiscard]] virtual bool tells_drive() const { return true; }
  /// A time that the driver shows by one label and sends right only by another: both. Empty where none is.
  [[nodiscard]] virtual Respelling respelling() const { return {}; }

  /// The driver shows a new setting as soon as it has sent it; only the body's news says that it is taken.
  [[nodiscard]] virtual bool settings_are_told() const { return false; }
  /// What a failed call comes to.
  [[nodiscard]] virtual rig::Answer answer_of(const DriverError& error) const;

  [[nodiscard]] Bursts bursts() const {
    return by_driver_ && bursts_ == Bursts::held ? Bursts::none : bursts_;
  }
  /// Tells the body how many frames it has to take, where it wants to know.
  [[nodiscard]] Tried<void> ready(Session& session, std::size_t frames);
  /// From here the shutter works; what fails has taken nothing and left no button down.
  [[nodiscard]] Tried<void> begin(Session& session);
  /// After every begin() that went well, and before anything else.
  [[nodiscard]] Tried<void> end(Session& session);
  /// Between the two: none while the body hasn't said yet whether it takes the frame.
  virtual void hear(std::string_view /*news*/) {}
  [[nodiscard]] virtual std::optional<Tried<void>> word() const { return Tried<void>{}; }

  /// Steps, numbers of frames and the usual order of the brackets it offers.
  [[nodiscard]] virtual body::OwnBrackets brackets(Session& /*session*/) { return {}; }
  /// The body's own bracket is in force from now on; none where it has no such bracket, and then none is.
  [[nodiscard]] virtual Tried<std::optional<BracketInForce>> bracket(Session& /*session*/,
                                                                     const OwnBracket& /*wanted*/) {
    return std::nullopt;
  }
  [[nodiscard]] virtual Tried<void> no_bracket(Session& /*session*/) { return {}; }
  /// The body's words for a bracket that is on.
  [[nodiscard]] virtual std::optional<std::string> bracket_left_on(Session& /*session*/) {
    return std::nullopt;
  }

  /// Pictures aren't announced: what a release came to has to be believed.
  [[nodiscard]] virtual bool is_silent() const { return false; }
  /// Reading news may bring a whole picture over the cable: it is left until there is time.
  [[nodiscard]] virtual bool has_heavy_news() const { return false; }
  /// A copy of each picture stays in the body's memory, which blocks it, until it is fetched and dropped.
  [[nodiscard]] virtual bool keeps_copies() const { return false; }

  /// Frames are released, and none is announced: from now on the driver's own trigger, if that is another
  /// way. Once more, back.
  void change_way();
  [[nodiscard]] virtual bool has_other_way() const { return false; }

  /// Whether the two that follow do anything. They need the shutter time to be at bulb.
  [[nodiscard]] virtual bool has_bulb() const { return false; }
  [[nodiscard]] virtual Tried<void> open_bulb(Session& /*session*/) { return {}; }
  /// Once, without patience; does no harm to a body whose shutter is closed.
  [[nodiscard]] virtual Tried<void> close_bulb(Session& /*session*/) { return {}; }

 protected:
  [[nodiscard]] const About& about() const { return about_; }
  [[nodiscard]] virtual Tried<void> press(Session& session) { return session.trigger(); }
  [[nodiscard]] virtual Tried<void> let_go(Session& /*session*/) { return {}; }

 private:
  About about_;
  Bursts bursts_;
  bool by_driver_ = false;
  std::size_t burst_length_ = 0;  // as told; 0: never
};

/// Of a body that can be told, and of others.
[[nodiscard]] Bursts told_bursts(Session& session);

/// By what the body advertises.
[[nodiscard]] std::unique_ptr<Family> family_of(Session& session);
/// Each empty for a body of another one.
[[nodiscard]] std::unique_ptr<Family> family_a(Session& session);
[[nodiscard]] std::unique_ptr<Family> family_b(Session& session);
[[nodiscard]] std::unique_ptr<Family> family_sony(Session& session);
[[nodiscard]] std::unique_ptr<Family> family_fuji(Session& session);
[[nodiscard]] std::unique_ptr<Family> family_panasonic(Session& session);
[[nodiscard]] std::unique_ptr<Family> family_olympus(Session& session);

/// PTP's vendor extensions as the driver numbers them, those it made up included.
namespace extension {
inline constexpr std::uint32_t a = 0x0000000A;
inline constexpr std::uint32_t b = 0x0000000B;
inline constexpr std::uint32_t fuji = 0x0000000E;
inline constexpr std::uint32_t sony = 0x00000011;
inline constexpr std::uint32_t panasonic = 0x0000001C;
}  // namespace extension

inline constexpr std::uint16_t initiate_capture = 0x100E;  // of the standard

/// An operation by its number, past the driver's own ways: "0x9207,0xffffffff,0x0".
[[nodiscard]] Tried<void> operate(Session& session, const std::string& words);
/// Sets it and reads it back until the body shows it. Says why it couldn't, after `consequence`.
[[nodiscard]] std::optional<std::string> set_or_say(Session& session, const std::string& name,
                                                    const std::string& label, const std::string& consequence);
/// A button left down shoots on, or blocks the next release: it is let go with some patience.
[[nodiscard]] Tried<void> insist(const Family& family, const std::string& name, const std::string& label,
                                 Session& session);
inline constexpr const char* lost_words = "pictures would be lost in the body's memory";

/// Of the strokes a shutter button offers, pressing it down and letting it go: without autofocus where there
/// is a choice. Empty where there is none.
struct Strokes {
  std::string press;
  std::string let_go;
  bool operator==(const Strokes&) const = default;
};
[[nodiscard]] Strokes strokes_of(const std::vector<std::string>& choices);

}  // namespace noonfall::gphoto
