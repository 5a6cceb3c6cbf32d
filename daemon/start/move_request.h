// A dress rehearsal's contacts: where they are moved to, and when that is refused.
#pragma once

#include <optional>
#include <string_view>
#include <variant>

#include "lib/base/result.h"
#include "lib/contacts/contact.h"
#include "lib/time/utc.h"

namespace noonfall::start {

/// One contact is moved, and the whole plan with it: to so long from now, or to an instant.
struct MoveRequest {
  contacts::ContactName contact = contacts::ContactName::c2;
  std::variant<Duration, Utc> to;
  bool operator==(const MoveRequest&) const = default;
};

/// "C2=+5min", "C2=-30s" or "C2=2026-11-25T20:00:00Z". Errors have the code "move".
[[nodiscard]] Result<MoveRequest> parse_move(std::string_view text);

/// By how much everything moves. Errors: the contact doesn't happen at the site.
[[nodiscard]] Result<Duration> moved_by(const MoveRequest& request, const contacts::Circumstances& sky,
                                        Utc now);

/// Nobody rehearses, keeping the filter on, within three hours of the real eclipse at the site: refused when
/// `now` or any part of the moved eclipse lies there.
[[nodiscard]] std::optional<Diagnostic> too_near_the_real_one(const contacts::Circumstances& sky, Utc now,
                                                              Duration moved);

}  // namespace noonfall::start
