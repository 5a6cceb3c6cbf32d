// Where the site is on the path, in sentences and as JSON.
#pragma once

#include <string>

#include <nlohmann/json_fwd.hpp>

#include "lib/contacts/on_path.h"

namespace noonfall::cli {

/// Empty where the path is so far that nobody there thinks of it.
[[nodiscard]] std::string on_path_text(const contacts::Circumstances& found, const contacts::OnPath& on);
[[nodiscard]] nlohmann::ordered_json on_path_json(const contacts::OnPath& on);

}  // namespace noonfall::cli
