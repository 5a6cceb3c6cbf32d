// The body profiles that come with noonfall, compiled in.
#pragma once

#include <span>
#include <string_view>

#include "lib/base/result.h"
#include "lib/body/profile.h"

namespace noonfall::body {

struct ShippedProfile {
  std::string_view name;
  std::string_view yaml;  // the file's text, as in plans/bodies
};

[[nodiscard]] std::span<const ShippedProfile> shipped_profiles();

/// The profile of that name; else an error without a place that offers the nearest name or all of them.
[[nodiscard]] Result<Profile> find_shipped(std::string_view name);

}  // namespace noonfall::body
