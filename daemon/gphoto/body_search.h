// Finds the body with a serial number among those on the cables, and opens it.
#pragma once

#include <memory>
#include <string>

#include <tl/expected.hpp>

#include "daemon/gphoto/session.h"

namespace noonfall::gphoto {

struct OpenedBody {
  std::unique_ptr<Session> session;
  ListedBody where;
};

/// Every body that can be opened is asked for its number. An error says in words who is there instead, and
/// who is held by another program; two bodies with the number are none. A body that is `held_elsewhere` now
/// may be the one: worth another try.
struct NotFound {
  std::string why;
  bool held_elsewhere = false;
};
[[nodiscard]] tl::expected<OpenedBody, NotFound> find_body(Cables& cables, const std::string& serial);

}  // namespace noonfall::gphoto
