// Strips of lunar heights made of an elevation image, from this disk or the web.
#pragma once

#include <string>

#include "daemon/cli/commands.h"

namespace noonfall::cli {

struct LimbBuild {
  std::string image;
  std::string label;  // empty: beside the image
  std::string out;    // the strip; never one that exists
};

/// What is wrong goes to the context, with the exit code.
void build_limb(const LimbBuild& build, Context& context);

/// `noonfall limb fetch`.
void add_limb_fetch(CLI::App& limb, Context& context);

}  // namespace noonfall::cli
