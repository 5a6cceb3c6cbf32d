#include "lib/timeline/relative_text.h"

#include <fmt/format.h>

#include "lib/time/duration_text.h"
#include "lib/time/utc_text.h"

namespace noonfall::timeline {
namespace {

using namespace std::chrono_literals;

const contacts::Contact* nearest_contact(Utc instant, const contacts::Circumstances& sky,
                                         contacts::ContactName& name) {
  const contacts::Contact* found = nullptr;
  for (const auto candidate : contacts::all_contacts) {
    const auto& contact = sky.at(candidate);
    if (!contact) continue;
    if (found != nullptr &&
        std::chrono::abs(instant - contact->utc) >= std::chrono::abs(instant - found->utc))
      continue;
    found = &*contact;
    name = candidate;
  }
  return found;
}

Duration round_to(Duration span, Duration grain, Rounding rounding) {
  switch (rounding) {
    case Rounding::earlier:
      return std::chrono::floor<std::chrono::duration<std::int64_t, std::deci>>(span);
    case Rounding::later:
      return std::chrono::ceil<std::chrono::duration<std::int64_t, std::deci>>(span);
    case Rounding::nearest:
      break;
  }
  const auto half = grain / 2;
  return (span < 0us ? (span - half) : (span + half)) / grain * grain;
}

}  // namespace

std::string relative_text(Utc instant, const contacts::Circumstances& sky, Rounding rounding) {
  auto name = contacts::ContactName::c1;
  const auto* contact = nearest_contact(instant, sky, name);
  if (contact == nullptr) return noonfall::to_text(instant);
  const auto offset = round_to(instant - contact->utc, 100ms, rounding);
  if (offset == 0us) return std::string{contacts::to_text(name)};
  return fmt::format("{} {} {}", contacts::to_text(name), offset < 0us ? '-' : '+',
                     noonfall::to_text(std::chrono::abs(offset)));
}

std::string rounded_text(Duration span) {
  return noonfall::to_text(
      round_to(span, std::chrono::abs(span) < 1s ? Duration{1ms} : Duration{100ms}, Rounding::nearest));
}

}  // namespace noonfall::timeline
