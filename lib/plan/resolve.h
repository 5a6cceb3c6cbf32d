// A plan's instant at a site: from a contact and an offset to UTC.
#pragma once

#include <optional>

#include "lib/contacts/contact.h"
#include "lib/plan/plan.h"

namespace noonfall::plan {

/// Empty where the contact doesn't happen, or a percentage of totality is asked of an eclipse that isn't
/// total. Percentages are rounded to the nearest microsecond.
[[nodiscard]] std::optional<Utc> resolve(const Instant& instant, const contacts::Circumstances& sky);

}  // namespace noonfall::plan
