// Finds the body with a serial number among those on the cables, and opens it.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <tl/expected.hpp>

#include "daemon/gphoto/session.h"

namespace noonfall::gphoto {

struct OpenedBody {
  Session session;
  Found where;
};

/// Every body that can be opened is asked for its number. Numbers are the same but for zeros before them. An
/// error says in words who is there instead, and who is held by another program; two bodies with the number
/// are none. A body that is `held_elsewhere` now may be the one: worth another try.
struct NotFound {
  std::string why;
  bool held_elsewhere = false;
};
[[nodiscard]] tl::expected<OpenedBody, NotFound> find_body(Library& library, const std::string& serial);

/// What it calls itself, by each of the numbers it may have; empty when it doesn't.
[[nodiscard]] std::vector<std::string> serials_of(Session& session);
[[nodiscard]] bool same_serial(std::string_view one, std::string_view other);

}  // namespace noonfall::gphoto
