// How a body's shutter is released with the least delay: each family has its own way, the driver's plain one
// is for all others.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "daemon/gphoto/session.h"

namespace noonfall::gphoto {

class ReleasePath {
 public:
  virtual ~ReleasePath() = default;

  /// A burst lasts from begin() to end(); otherwise ready() tells the body how many frames it has.
  [[nodiscard]] virtual bool is_held() const { return false; }
  /// The driver shows a new setting as soon as it has sent it; only the body's news says that it is taken.
  [[nodiscard]] virtual bool settings_are_told() const { return false; }
  [[nodiscard]] virtual Tried<void> ready(Session& session, std::size_t frames) = 0;
  [[nodiscard]] virtual Tried<void> begin(Session& session) = 0;
  /// After every begin() that went well, and before anything else.
  [[nodiscard]] virtual Tried<void> end(Session& /*session*/) { return {}; }

  /// Whether the two that follow do anything. They need the shutter time to be at bulb.
  [[nodiscard]] virtual bool has_bulb() const { return false; }
  [[nodiscard]] virtual Tried<void> open_bulb(Session& /*session*/) { return {}; }
  /// Once, without patience; does no harm to a body whose shutter is closed.
  [[nodiscard]] virtual Tried<void> close_bulb(Session& /*session*/) { return {}; }
};

/// The body is asked what it has.
[[nodiscard]] std::unique_ptr<ReleasePath> release_path_of(Session& session);

/// Of the strokes a shutter button offers, pressing it down and letting it go: without autofocus where there
/// is a choice. Empty where there is none.
struct Strokes {
  std::string press;
  std::string let_go;
  bool operator==(const Strokes&) const = default;
};
[[nodiscard]] Strokes strokes_of(const std::vector<std::string>& choices);

}  // namespace noonfall::gphoto
