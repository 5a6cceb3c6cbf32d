// Rigs as the command line of `draft` says them.
#pragma once

#include <map>
#include <string>
#include <vector>

#include <tl/expected.hpp>

#include "lib/body/profile.h"
#include "lib/draft/draft.h"

namespace noonfall::cli {

/// What is said of one rig, by option.
using GearText = std::map<std::string, std::string>;

/// Or whole lines that say all that is wrong.
[[nodiscard]] tl::expected<std::vector<draft::Gear>, std::string> read_gear(
    const std::vector<GearText>& rigs, const std::map<std::string, body::Profile>& profiles);

}  // namespace noonfall::cli
