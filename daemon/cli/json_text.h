// The one way a JSON answer is printed.
#pragma once

#include <string>

#include <nlohmann/json_fwd.hpp>

namespace noonfall::cli {

/// Indented by two, ended by '\n'; bytes that aren't UTF-8 (of a file's own text) are replaced, not refused.
[[nodiscard]] std::string json_text(const nlohmann::ordered_json& json);

}  // namespace noonfall::cli
