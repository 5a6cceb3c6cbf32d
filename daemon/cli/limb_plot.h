// The Moon's edge unrolled, with the Sun's edge behind it at C2 and C3 and the beads between: an SVG.
#pragma once

#include <string>

#include "daemon/cli/contacts_output.h"

namespace noonfall::cli {

/// Needs an answer with the profile, and C2 and C3 in it.
[[nodiscard]] std::string limb_plot_svg(const ContactsAnswer& answer);

}  // namespace noonfall::cli
