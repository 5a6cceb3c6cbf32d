// A plan as its text: one canonical way to write each.
#pragma once

#include <map>
#include <string>

#include "lib/plan/plan.h"

namespace noonfall::plan {

/// Words for whoever reads the text, put above what they are about; lines may be long and are broken.
struct Comments {
  std::string plan;
  std::map<std::string, std::string> rigs;   // by name
  std::map<std::string, std::string> steps;  // by name
};

/// YAML that parse reads back to an equal plan. For plans as parse gives them: mirrors unresolved.
[[nodiscard]] std::string print(const Plan& plan, const Comments& comments = {});

}  // namespace noonfall::plan
