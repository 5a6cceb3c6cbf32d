// What values of the command line must be like: numbers between two limits, names that aren't empty.
#pragma once

#include <string>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "lib/base/number.h"

namespace noonfall::command_line {

/// Unlike CLI::Range it takes no "nan".
inline CLI::Validator within(double low, double high) {
  return {[low, high](std::string& text) {
            const auto value = parse_decimal(text);
            if (value && *value >= low && *value <= high) return std::string{};
            return fmt::format("\"{}\" is no number from {} to {}", text, low, high);
          },
          fmt::format("{} to {}", low, high)};
}

/// An empty one, of a shell's unset variable, would pass for none.
inline CLI::Validator named() {
  return {[](std::string& text) { return std::string{text.empty() ? "the name is empty" : ""}; }, ""};
}

}  // namespace noonfall::command_line
