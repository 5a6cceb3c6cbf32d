#include "tests/fuzz/property.h"

#include <algorithm>
#include <cstdlib>
#include <iostream>
#include <string>

namespace noonfall::fuzz {

void require(bool holds, std::string_view property) {
  if (holds) return;
  std::cerr << "property broken: " << property << std::endl;
  std::abort();
}

void require_explained(const Diagnostics& findings, std::string_view text) {
  require(has_errors(findings), "a refusal has a reason");
  const auto lines = std::count(text.begin(), text.end(), '\n') + 1;
  for (const auto& finding : findings) {
    if (finding.severity != Severity::error) continue;
    const auto what = to_text(finding);
    require(!finding.code.empty(), "a finding has a code: " + what);
    require(!finding.message.empty(), "a finding says what was found: " + what);
    require(!finding.hint.empty(), "a finding says what is wanted: " + what);
    require(finding.mark.line >= 1 && finding.mark.line <= lines, "a finding has its line: " + what);
    require(finding.mark.column >= 1, "a finding has its column: " + what);
  }
}

}  // namespace noonfall::fuzz
