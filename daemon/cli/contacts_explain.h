// Why contact times may be off, for people.
#pragma once

#include <string>

#include "daemon/cli/contacts_output.h"

namespace noonfall::cli {

/// Brief: the largest parts of the contact most wanted. Explained: a table of every part at every contact.
[[nodiscard]] std::string uncertainty_text(const contacts::Circumstances& found, Detail detail);

}  // namespace noonfall::cli
