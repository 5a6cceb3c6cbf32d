// What goes wrong between host and body, beyond what goes wrong inside it (sim/body/fault.h).
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <variant>

#include "lib/time/utc.h"

namespace noonfall::wire {

/// What a host asks of a body that can be refused.
enum class Asked { release, setting };

/// Answered with this response code; nothing is done.
struct Refused {
  Asked asked = Asked::release;
  std::uint16_t code = 0x2002;
  bool operator==(const Refused&) const = default;
};

/// What the body tells by itself comes this much later.
struct LateNews {
  Duration by{};
  bool operator==(const LateNews&) const = default;
};

/// A setting takes this much longer.
struct SlowSettings {
  Duration by{};
  bool operator==(const SlowSettings&) const = default;
};

/// What is asked is done, and answered this much later; or the answer begins in time and its data come later.
struct SlowAnswers {
  Duration by{};
  std::optional<std::uint16_t> operation;  // none: each
  enum class Late { all, data };
  Late late = Late::all;
  bool operator==(const SlowAnswers&) const = default;
};

/// Nothing is answered and nothing told before the fault is over.
struct Silence {
  bool operator==(const Silence&) const = default;
};

/// Instead of its answer the body sends the first bytes of it, or bytes that mean nothing; or its answer,
/// some bytes of the dataset being others.
struct Damaged {
  enum class How { cut, noise, bytes };
  How how = How::cut;
  std::uint32_t seed = 1;  // of which bytes, and what they become
  bool operator==(const Damaged&) const = default;
};

/// Another body of the same make hangs on the cable.
struct OtherSerial {
  std::string serial;
  bool operator==(const OtherSerial&) const = default;
};

/// The mode dial isn't at M: the shutter time can't be set.
struct ModeOffManual {
  bool operator==(const ModeOffManual&) const = default;
};

/// Autofocus is on and finds nothing.
struct FocusFails {
  bool operator==(const FocusFails&) const = default;
};

struct LowBattery {
  int percent = 5;
  bool operator==(const LowBattery&) const = default;
};

/// Releases are refused for want of room, and the card says it has none.
struct CardFull {
  bool operator==(const CardFull&) const = default;
};

/// What the body says is well-formed and isn't so.
struct FalseWords {
  enum class About {
    no_choices,        // of any setting
    choices_of_zeros,  // as many as ever
    choices_of_ones,
    current_value,  // none of its choices
    battery,        // 250 %
    room,           // more than the card holds, for no picture
    picture,        // one more than was taken
    serial,         // it has none
    many_choices,   // ten thousand more
    names,          // of settings' choices and files, with codes that move a terminal's cursor
    news,           // a setting changed, a thousand times a second
  };
  About about = About::no_choices;
  bool operator==(const FalseWords&) const = default;
};

using LineEffect = std::variant<Refused, LateNews, SlowSettings, SlowAnswers, Silence, Damaged, OtherSerial,
                                ModeOffManual, FocusFails, LowBattery, CardFull, FalseWords>;

/// In force within from <= instant < until, and at most `count` times where it comes answer by answer
/// (refused, damaged, slow).
struct LineFault {
  Utc from = Utc::min();
  Utc until = Utc::max();
  std::optional<int> count;
  LineEffect effect;
  bool operator==(const LineFault&) const = default;
};

}  // namespace noonfall::wire
