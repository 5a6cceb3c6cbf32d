// Which steps the sky at the site leaves room for, and in words why the others are left out.
#pragma once

#include <optional>
#include <string>

#include "lib/contacts/contact.h"
#include "lib/plan/plan.h"

namespace noonfall::timeline {

/// Why the step isn't taken at this site: its own only_if, or the sky. Empty when it can be. Mirrors must be
/// resolved.
[[nodiscard]] std::optional<std::string> why_left_out(const plan::Step& step,
                                                      const contacts::Circumstances& sky);

/// A subject needing the filter off, on a rig that has one, where totality never comes.
[[nodiscard]] std::optional<std::string> why_left_out(const plan::Shooting& shooting, const plan::Rig& rig,
                                                      const contacts::Circumstances& sky);

/// The first contact among the instant's own that doesn't happen at the site.
[[nodiscard]] std::optional<std::string> why_left_out(const plan::Instant& instant,
                                                      const contacts::Circumstances& sky);

/// An error where the instant isn't within 36 h of noon UTC on the eclipse's date, which no contact is: a
/// date mistyped. `whose` is quoted.
[[nodiscard]] std::optional<Diagnostic> far_from_eclipse(Utc instant, Mark mark, const std::string& whose,
                                                         const contacts::Circumstances& sky);

/// An error at the end of a span that doesn't follow its beginning.
[[nodiscard]] Diagnostic empty_span(Utc from, Utc until, Mark mark, const std::string& whose,
                                    const contacts::Circumstances& sky);

}  // namespace noonfall::timeline
