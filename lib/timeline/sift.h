// Which steps the sky at the site leaves room for, and in words why the others are left out.
#pragma once

#include <optional>
#include <string>

#include "lib/contacts/contact.h"
#include "lib/exposure/subject.h"
#include "lib/plan/plan.h"

namespace noonfall::timeline {

/// Why a step isn't taken at this site. `condition`: the plan's own only_if said so, nothing is amiss.
struct LeftOut {
  enum class Cause { sky, condition } cause = Cause::sky;
  std::string why;
  bool operator==(const LeftOut&) const = default;
};

/// Subjects there are only while the photosphere is covered.
[[nodiscard]] bool needs_totality(exposure::SubjectKind subject);

/// Empty when the step can be taken as far as the sky goes. Mirrors must be resolved.
[[nodiscard]] std::optional<LeftOut> why_left_out(const plan::Step& step, const contacts::Circumstances& sky);

/// A subject needing the filter off, on a rig that has one, where totality never comes.
[[nodiscard]] std::optional<LeftOut> why_left_out(const plan::Shooting& shooting, const plan::Rig& rig,
                                                  const contacts::Circumstances& sky);

/// The first contact among the instant's own that doesn't happen at the site.
[[nodiscard]] std::optional<LeftOut> why_left_out(const plan::Instant& instant,
                                                  const contacts::Circumstances& sky);

/// An error where the instant isn't within 36 h of noon UTC on the eclipse's date, which no contact is: a
/// date mistyped. `whose` is quoted.
[[nodiscard]] std::optional<Diagnostic> far_from_eclipse(Utc instant, Mark mark, const std::string& whose,
                                                         const contacts::Circumstances& sky);

}  // namespace noonfall::timeline
