// The ephemeris the cases of this folder share.
#pragma once

#include <stdexcept>

#include "tests/elements_maker/ephemeris.h"

namespace noonfall::tests {

inline const elements_maker::Ephemeris& de405() {
  static const elements_maker::Ephemeris ephemeris = [] {
    auto records = elements_maker::read_de405(NOONFALL_DE405);
    if (!records) throw std::runtime_error(records.error());
    return elements_maker::Ephemeris{std::move(*records)};
  }();
  return ephemeris;
}

}  // namespace noonfall::tests
