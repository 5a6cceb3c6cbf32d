// Where a test finds reference data that isn't part of the checkout (elevation models, public tables): the
// folder NOONFALL_REFERENCE names, by default ../shared beside the checkout.
#pragma once

#include <cstdlib>
#include <filesystem>
#include <iostream>
#include <optional>
#include <string>
#include <string_view>

#include <doctest/doctest.h>

#include "tests/source_folder.h"

namespace noonfall::tests {

/// The path of `name` inside the reference data. Without it the case fails when CI=true and otherwise should
/// return at once: CTest then shows it as skipped, by the line printed here.
[[nodiscard]] inline std::optional<std::string> reference_file(const std::string& name) {
  const char* folder = std::getenv("NOONFALL_REFERENCE");
  const auto base = folder != nullptr ? std::filesystem::path{folder}
                                      : std::filesystem::path{NOONFALL_SOURCE}.parent_path() / "shared";
  const auto path = base / name;
  if (std::filesystem::exists(path)) return path.string();
  const char* ci = std::getenv("CI");
  if (ci != nullptr && std::string_view{ci} == "true") {
    FAIL("no reference data at " << path.string() << ": set NOONFALL_REFERENCE");
  }
  std::cout << "SKIPPED: no reference data at " << path.string() << '\n';
  return std::nullopt;
}

}  // namespace noonfall::tests
