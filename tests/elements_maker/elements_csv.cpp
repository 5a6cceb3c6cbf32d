#include "tests/elements_maker/elements_csv.h"

#include <erfa.h>
#include <erfaextra.h>
#include <fmt/format.h>

#include "lib/contacts/elements.h"
#include "tests/elements_maker/axis_path.h"
#include "tests/elements_maker/fit.h"

namespace noonfall::elements_maker {
namespace {

using contacts::EclipseType;
using contacts::Elements;

std::string type_text(const Elements& elements) {
  if (elements.type == EclipseType::partial) return "P";
  if (elements.type == EclipseType::hybrid) return "H";
  const std::string letter = elements.type == EclipseType::total ? "T" : "A";
  return is_central(elements) ? letter : letter + '-';
}

std::string row(const Elements& elements) {
  auto text = fmt::format("{},{},{},{:g},{:.6f},{:.6f},{:.10g},{:.10g}", to_text(elements.date),
                          type_text(elements), elements.source, elements.t0_h, elements.gamma,
                          elements.greatest_h, elements.tan_f1, elements.tan_f2);
  for (const auto* series :
       {&elements.x, &elements.y, &elements.d, &elements.l1, &elements.l2, &elements.mu}) {
    for (const double coefficient : *series) text += fmt::format(",{:.10g}", coefficient);
  }
  return text + '\n';
}

std::string provenance() {
  return fmt::format(
      "# Made by tests/elements_maker. DE405: JPL DE405 (casacore-data-jpl-de405), ERFA {}, IAU 2006/2000A, "
      "apparent places and sidereal time, Sun 959.63\" at 1 au, k1 0.272488, k2 0.272281, Earth 6378.137 km, "
      "fitted over t0 - {} h to t0 + {} h. Other sources: rows taken over.\n",
      eraVersion(), fit_reach_h, fit_reach_h);
}

}  // namespace

std::string elements_csv(std::span<const Elements> table) {
  std::string text = "date,type,source";
  for (const auto& column : contacts::number_columns()) text += ',' + column.name;
  text += '\n';
  for (const auto& each : table) text += row(each);
  return text + provenance();
}

}  // namespace noonfall::elements_maker
