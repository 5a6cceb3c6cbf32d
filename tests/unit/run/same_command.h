// Whether two commands ask for the same.
#pragma once

#include <tuple>

#include "lib/base/match.h"
#include "lib/run/words.h"

namespace noonfall::run {

/// Everything a command asks for but its kind.
[[nodiscard]] inline std::tuple<std::int32_t, std::string, double, int> asked_by(const Command& command) {
  using Asked = std::tuple<std::int32_t, std::string, double, int>;
  return std::visit(Match{[](const Hold& hold) {
                            return Asked{hold.rig, "", 0, 0};
                          },
                          [](const Resume& resume) {
                            return Asked{resume.rig, "", 0, 0};
                          },
                          [](const SkipStep& skip) {
                            return Asked{0, skip.step, 0, 0};
                          },
                          [](const SetFilter& set) {
                            return Asked{set.rig, "", 0, static_cast<int>(set.state)};
                          },
                          [](const Trim& trim) {
                            return Asked{trim.rig, "", trim.stops, 0};
                          },
                          [](const auto&) { return Asked{}; }},
                    command.what);
}

[[nodiscard]] inline bool same(const Command& a, const Command& b) {
  return a.words == b.words && a.what.index() == b.what.index() && asked_by(a) == asked_by(b);
}

}  // namespace noonfall::run
