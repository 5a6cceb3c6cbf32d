// The facts as the page is sent them.
#pragma once

#include <string>

#include "daemon/status/facts.h"

namespace noonfall::page {

/// One JSON object on one line, without its end. Instants are milliseconds of Unix time.
[[nodiscard]] std::string facts_json(const status::StatusFacts& facts);

}  // namespace noonfall::page
