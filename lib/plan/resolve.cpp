#include "lib/plan/resolve.h"

namespace noonfall::plan {

std::optional<Utc> resolve(const Instant& instant, const contacts::Circumstances& sky) {
  if (const auto* utc = std::get_if<Utc>(&instant.value)) return *utc;
  const auto& at = std::get<ContactOffset>(instant.value);
  const auto& contact = sky.at(at.contact);
  if (!contact) return std::nullopt;
  if (at.percent_of_totality == 0) return contact->utc + at.offset;
  if (sky.kind != contacts::Kind::total) return std::nullopt;
  return contact->utc + from_seconds(in_seconds(sky.totality()) * at.percent_of_totality / 100);
}

}  // namespace noonfall::plan
