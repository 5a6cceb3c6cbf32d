// The program asked for contacts with the Moon's edge, for tests.
#pragma once

#include <string>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "tests/program/run_program.h"

namespace noonfall::tests {

inline const std::string tarifa = "contacts 2027-08-02 --at 36.0139,-5.6033,12 ";

inline Ran noonfall_program(const std::string& arguments) {
  return run_program(NOONFALL_PROGRAM, arguments);
}

inline nlohmann::json json_of(const std::string& arguments) {
  const auto ran = noonfall_program(arguments + " --json");
  INFO(ran.err);
  REQUIRE(ran.exit == 0);
  return nlohmann::json::parse(ran.out);
}

inline bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace noonfall::tests
