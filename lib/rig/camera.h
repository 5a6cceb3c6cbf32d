// The body below a rig.
//
//            any call, the first                       gone: the body went, or
//   closed ──────────────────────▶ there ──────────────────────────────────────▶ away
//                                   │  ▲  it answers nothing, again and again     │
//                                   └──┘                                          │
//                     every other answer leaves it there      ReopenCall: ok      │
//                                   ▲─────────────────────────────────────────────┘
//
//   call      blocks until                     what an answer leaves behind
//   settings  the body shows the new values    ok: as read back, which may not be as asked
//             or should have long since        busy: perhaps some are sent; ask the same again
//                                              refused: each setting is old or new, as read back if it was
//                                              no_word: unknown; drain, then send all again
//   release   the frames are taken, the last   ok: `frames` were taken; one unconfirmed may be on the card
//             shutter is closed, and what can  busy, refused: none was taken
//             be known soon is known           no_word, gone: some may have been taken
//   drain     the body is quiet                ok: news is read; busy and refused don't come
//   reopen    the body is there again, or      ok: as after powering on, pictures go to the card
//             the time of the call is over     otherwise: away, as before
//
//   While away every call but reopen answers gone, at once, and does nothing.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "lib/rig/device.h"
#include "lib/time/utc.h"

namespace noonfall::rig {

/// What a body has left; none where it doesn't tell.
struct Levels {
  std::optional<int> battery_percent;
  std::optional<int> card_frames;  // as they are shot now
  bool operator==(const Levels&) const = default;
};

/// What came of looking after a body between calls.
struct Care {
  std::optional<Utc> again;         // when the next look is wanted; none: never
  std::vector<std::string> notes;   // for the log
  std::vector<std::string> alarms;  // for the person
  std::optional<Gone> gone;         // it was there and isn't any more
  std::optional<Levels> levels;     // when it was asked for them
};

/// One call at a time, each answered exactly once. A real body's implementation blocks until it can answer or
/// its deadline has passed, and returns then; a simulated one returns at once with an answer dated in the
/// future. Not for use from two threads.
class Camera {
 public:
  virtual ~Camera() = default;
  [[nodiscard]] virtual DeviceAnswer answer(const DeviceCall& call, Utc now) = 0;

  /// Nothing is due before `until`: reads late news, keeps the body awake, looks at battery and card. Takes
  /// no time that could reach `until`, and nothing from a call's punctuality.
  [[nodiscard]] virtual Care look_after(Utc /*now*/, Utc /*until*/) { return {}; }

  /// The body's own small picture, a JPEG, of a file as it told it; none where it has none, or doesn't give
  /// it in time. Only when nothing is due before `until`.
  [[nodiscard]] virtual std::optional<std::string> preview(const std::string& /*file*/, Utc /*until*/) {
    return std::nullopt;
  }
};

}  // namespace noonfall::rig
