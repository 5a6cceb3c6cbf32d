// When the shutter of a logged frame was open, and when a logged plan has a contact.
#pragma once

#include <optional>

#include "lib/exposure/exposure.h"
#include "lib/shotlog/account.h"

namespace noonfall::report {

inline std::optional<Utc> opened(const shotlog::FrameAccount& frame) {
  return frame.last ? frame.last->opened : std::nullopt;
}

/// Of one whose shutter opened.
inline Utc closed(const shotlog::FrameAccount& frame) {
  return *frame.last->opened + from_seconds(exposure::exact_seconds(frame.last->exposure.shutter));
}

inline std::optional<Utc> contact(const shotlog::Header& plan, contacts::ContactName name) {
  for (const auto& each : plan.contacts)
    if (each.name == name) return each.utc;
  return std::nullopt;
}

}  // namespace noonfall::report
