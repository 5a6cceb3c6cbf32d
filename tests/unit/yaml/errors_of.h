// The errors of a text as a user reads them.
#pragma once

#include <string>

#include "lib/yaml/reader.h"

inline std::string errors_of(std::string_view text) {
  const auto document = noonfall::yaml::read(text);
  if (document) return "no errors";
  auto findings = document.error();
  noonfall::attach_source(findings, "f.yaml", text);
  return noonfall::to_text(findings);
}
