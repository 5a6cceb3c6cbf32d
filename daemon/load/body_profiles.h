// The body profiles at hand: those that come with noonfall and those of a folder.
#pragma once

#include <map>
#include <string>

#include "lib/base/diagnostic.h"
#include "lib/body/profile.h"

namespace noonfall::load {

struct BodyProfiles {
  std::map<std::string, body::Profile> profiles;  // by name; the folder's win over shipped ones
  Diagnostics findings;                           // with file and source line
  bool readable = true;                           // the folder and its files could be read
};

/// Reads every *.yaml and *.yml in `folder`; an empty name stands for no folder.
[[nodiscard]] BodyProfiles read_body_profiles(const std::string& folder);

}  // namespace noonfall::load
