// A simulated body as its cable shows it, whatever is spoken over it: settings, shutter, card, and what it
// has to tell unasked.
#pragma once

#include <algorithm>
#include <deque>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "sim/body/simulated_body.h"
#include "sim/wire/card.h"
#include "sim/wire/line_faults.h"
#include "sim/wire/traits.h"

namespace noonfall::wire {

/// Never on a card: the handle of a picture that is announced and doesn't exist.
inline constexpr Handle no_picture = 0x7FFFFFF0;

struct PictureAdded {
  Handle handle = 0;
  bool operator==(const PictureAdded&) const = default;
};
struct FrameComplete {
  bool operator==(const FrameComplete&) const = default;
};
struct SettingChanged {
  sim::SettingValue value;
  bool operator==(const SettingChanged&) const = default;
};
/// A property that no setting here stands for.
struct OtherChanged {
  std::uint16_t code = 0;
  bool operator==(const OtherChanged&) const = default;
};
/// What the body tells by itself, and when.
struct Notice {
  Utc at;
  std::variant<PictureAdded, FrameComplete, SettingChanged, OtherChanged> what;
  bool operator==(const Notice&) const = default;
};

struct CameraAnswer {
  rig::Answer answer = rig::Answer::ok;
  Utc at;           // of a release that is taken: when the body is free again
  std::string why;  // unless ok
};

/// A bracket that a body takes by itself around its shutter time: in continuous drive all of it at one
/// release, in single drive one frame of it at each.
struct BodyBracket {
  enum class Order { rising, middle_then_outward, middle_then_rising };
  int frames = 0;
  Stops by;
  Order order = Order::rising;
  bool operator==(const BodyBracket&) const = default;
};

class TetheredCamera {
 public:
  /// The line's faults and the traits are its owner's, and outlive it.
  TetheredCamera(sim::BodySetup setup, const LineFaults& line, const Traits& traits);

  [[nodiscard]] const body::Profile& profile() const { return profile_; }
  [[nodiscard]] const sim::Settings& settings() const { return settings_; }
  /// Those it shows: of the last setting asked for not before it is taken.
  [[nodiscard]] const sim::Settings& shown(Utc now) const { return now < settled_at_ ? before_ : settings_; }
  [[nodiscard]] body::Files files() const { return files_; }
  [[nodiscard]] const Card& card() const { return card_; }
  /// Everything it really took.
  [[nodiscard]] const std::vector<sim::RecordedFrame>& taken() const { return body_.taken(); }
  [[nodiscard]] int battery_percent() const;
  [[nodiscard]] Megabytes card_free() const { return body_.card_free(); }
  [[nodiscard]] int frames_left() const;
  [[nodiscard]] int buffer_frames_left(Utc now) const;
  /// Exposing or reading out.
  [[nodiscard]] bool busy(Utc now) const { return held_ || now < busy_until_; }
  /// When the settings asked for so far are taken; a further one waits for them, a release is answered busy.
  [[nodiscard]] Utc settled_at() const { return settled_at_; }

  /// Powered up anew where it was off the line; otherwise as it was left.
  CameraAnswer open(Utc now);
  CameraAnswer set(const sim::SettingValue& value, Utc now);
  CameraAnswer leave(body::Files files, Utc now);
  /// In single drive one frame. Notices of what is taken come later, unless a fault keeps them back.
  CameraAnswer release(int frames, Destination destination, Utc now);
  CameraAnswer set_bulb(Utc now);
  /// None: each frame has the shutter time that is set.
  CameraAnswer set_bracket(const std::optional<BodyBracket>& bracket, Utc now);
  [[nodiscard]] const std::optional<BodyBracket>& bracket() const { return bracket_; }
  [[nodiscard]] bool is_at_bulb() const { return at_bulb_; }
  /// A shutter button held down until let_go(): at bulb one frame for as long, in single drive one frame,
  /// else frames for as long.
  CameraAnswer press(Destination destination, Utc now);
  /// A press is good for one frame at least.
  void let_go(Utc now);
  [[nodiscard]] bool is_held() const { return held_.has_value(); }
  /// When it is done with all it has taken on.
  [[nodiscard]] Utc free_at() const { return std::max(busy_until_, settled_at_); }
  /// The host has fetched a picture that is on no card.
  void fetched(Handle held) { card_.let_go(held); }

  /// The next notice that is due, taken off the queue.
  [[nodiscard]] std::optional<Notice> notice(Utc now);
  [[nodiscard]] std::optional<Utc> next_notice_at() const;

 private:
  CameraAnswer release_until(int frames, Utc stop_by, Destination destination, Utc now);
  [[nodiscard]] rig::DeviceAnswer ask_for(int frames, Utc stop_by, Utc now);
  [[nodiscard]] rig::DeviceAnswer ask_for_bracket(int frames, Utc stop_by, Utc now);
  [[nodiscard]] std::vector<order::FrameId> next_frames(int count) const;
  void note_pictures(std::size_t first, const rig::DeviceAnswer& answer, Destination destination);
  void note_picture(const sim::RecordedFrame& frame, Utc there, Destination destination, bool announced);
  [[nodiscard]] std::uint32_t file_size(const std::string& name) const;
  void announce(Notice notice);
  [[nodiscard]] std::optional<Notice> false_news(Utc now);
  /// Spread over the time, which may be none.
  void announce_others(int count, Utc from, Utc until);

  const LineFaults& line_;
  const Traits& traits_;
  body::Profile profile_;  // detuned
  sim::SimulatedBody body_;
  sim::Settings settings_;
  sim::Settings before_;  // the last setting asked for
  std::optional<BodyBracket> bracket_;
  std::size_t bracket_frame_ = 0;  // the next in single drive
  bool at_bulb_ = false;           // instead of the settings' shutter time
  body::Files files_;
  Card card_;
  std::deque<Notice> notices_;  // by their time
  Utc false_news_at_{};
  Utc busy_until_ = Utc::min();
  Utc settled_at_ = Utc::min();
  struct Held {
    Utc since;
    Utc first_opening;
    Destination destination;
  };
  std::optional<Held> held_;  // a burst or an exposure at bulb that isn't over
};

}  // namespace noonfall::wire
