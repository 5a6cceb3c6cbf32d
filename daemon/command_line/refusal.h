// Why a program leaves off, and how it ends then.
#pragma once

#include <tl/expected.hpp>

#include "daemon/command_line/exit.h"
#include "lib/base/diagnostic.h"

namespace noonfall::command_line {

struct Refusal {
  Diagnostics why;
  Exit exit = Exit::work_has_errors;
};

using Checked = tl::expected<void, Refusal>;

[[nodiscard]] inline tl::unexpected<Refusal> refuse(Diagnostics why, Exit exit = Exit::work_has_errors) {
  return tl::unexpected{Refusal{std::move(why), exit}};
}

}  // namespace noonfall::command_line
