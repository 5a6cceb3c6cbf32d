// A frame's number in JSON, [rig, step, set, frame], and the words for drives and outcomes. Only for .cpp
// files.
#pragma once

#include "lib/exposure/exposure_json.h"
#include "lib/order/order.h"

namespace noonfall::order {

inline constexpr json::Words drives{body::Drive::bracket};
inline constexpr json::Words outcomes{Outcome::cancelled};

void fields(auto& io, json::Like<FrameId> auto& it) {
  io("rig", it.rig);
  io("step", it.step);
  io("set", it.set);
  io("frame", it.frame);
}

}  // namespace noonfall::order
