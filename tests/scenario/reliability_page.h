// The table of docs/reliability.md, as the campaign's runs give it.
#pragma once

#include <string>

#include "tests/scenario/scenario.h"

namespace noonfall::scenario {

/// One row: number, what goes wrong, what a person is told, pictures lost, when it shoots again.
[[nodiscard]] std::string row_of(const Scenario& scenario, const Day& day);

/// `page` with these rows between its two marks; empty where it has none.
[[nodiscard]] std::string with_rows(const std::string& page, const std::string& rows);

}  // namespace noonfall::scenario
