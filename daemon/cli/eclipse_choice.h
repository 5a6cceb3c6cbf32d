// Which eclipse a command is about: its date, and whose elements.
#pragma once

#include <optional>
#include <string>

#include <tl/expected.hpp>

#include "daemon/cli/commands.h"
#include "lib/contacts/elements.h"

namespace noonfall::cli {

/// As the command line says it.
struct EclipseRequest {
  std::string date;
  std::string elements;  // a file; empty for the built-in table
  std::optional<double> dut1_s;

  [[nodiscard]] std::optional<Duration> dut1() const {
    return dut1_s ? std::optional{from_seconds(*dut1_s)} : std::nullopt;
  }
};

/// DATE, --elements and --dut1.
void add_eclipse_options(CLI::App& command, EclipseRequest& request);

struct EclipseRefusal {
  std::string text;  // whole lines
  Exit exit = Exit::work_has_errors;
};
/// A date without an eclipse is answered with the nearest ones.
[[nodiscard]] tl::expected<contacts::Elements, EclipseRefusal> choose_eclipse(const EclipseRequest& request);

}  // namespace noonfall::cli
