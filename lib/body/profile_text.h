// Body profiles as the YAML people write, in and out (docs: plans/bodies/mirrorless-20.yaml explains each
// key).
#pragma once

#include <string>
#include <string_view>

#include "lib/base/result.h"
#include "lib/body/profile.h"

namespace noonfall::body {

/// Reads one profile. Every error is reported, with its place in `text`; `file` is what messages call it.
[[nodiscard]] Result<Profile> parse_profile(std::string_view text, std::string_view file);

/// Text that parse_profile reads back to the same value.
[[nodiscard]] std::string to_text(const Profile& profile);

/// "25 MB", "2.5 GB"; a GB is 1000 MB.
[[nodiscard]] std::string to_text(Megabytes size);

[[nodiscard]] std::string_view to_text(ShutterType type);

}  // namespace noonfall::body
