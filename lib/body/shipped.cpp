#include "lib/body/shipped.h"

#include <array>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "lib/base/nearest_word.h"
#include "lib/body/profile_text.h"

namespace noonfall::embedded {
std::string_view mirrorless_20_yaml();
std::string_view mirrorless_12_yaml();
std::string_view mirror_24_yaml();
}  // namespace noonfall::embedded

namespace noonfall::body {

std::span<const ShippedProfile> shipped_profiles() {
  static const std::array<ShippedProfile, 3> profiles{{{"mirrorless-20", embedded::mirrorless_20_yaml()},
                                                       {"mirrorless-12", embedded::mirrorless_12_yaml()},
                                                       {"mirror-24", embedded::mirror_24_yaml()}}};
  return profiles;
}

Result<Profile> find_shipped(std::string_view name) {
  std::vector<std::string_view> names;
  for (const auto& profile : shipped_profiles()) {
    if (profile.name == name) return parse_profile(profile.yaml, fmt::format("{}.yaml", name));
    names.push_back(profile.name);
  }
  const auto nearest = nearest_word(name, names);
  return fail(error_at({}, "unknown-profile", fmt::format("there is no body profile \"{}\"", name),
                       nearest.empty() ? fmt::format("one of {}", fmt::join(names, ", ")) : nearest));
}

}  // namespace noonfall::body
