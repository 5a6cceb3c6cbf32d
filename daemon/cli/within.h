// A command-line number that must lie between two limits. Unlike CLI::Range it takes no "nan".
#pragma once

#include <string>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "lib/base/number.h"

namespace noonfall::cli {

inline CLI::Validator within(double low, double high) {
  return {[low, high](std::string& text) {
            const auto value = parse_decimal(text);
            if (value && *value >= low && *value <= high) return std::string{};
            return fmt::format("\"{}\" is no number from {} to {}", text, low, high);
          },
          fmt::format("{} to {}", low, high)};
}

}  // namespace noonfall::cli
