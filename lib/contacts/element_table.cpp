#include "lib/contacts/element_table.h"

#include <algorithm>

#include "lib/contacts/early_utc.h"
#include "lib/contacts/parse_elements.h"

namespace noonfall::embedded {
std::string_view elements_csv();  // made from elements.csv by the build
}

namespace noonfall::contacts {

std::string_view to_text(EclipseType type) {
  switch (type) {
    case EclipseType::partial:
      return "partial";
    case EclipseType::annular:
      return "annular";
    case EclipseType::total:
      return "total";
    case EclipseType::hybrid:
      return "hybrid";
  }
  return "partial";
}

std::span<const Elements> built_in_elements() {
  static const auto table = [] {
    auto rows = parse_elements(embedded::elements_csv(), "elements.csv").value();
    for (auto& each : rows) each.delta_t = early_tt_minus_utc(each.date);
    return rows;
  }();
  return table;
}

const Elements* find_elements(std::span<const Elements> table, Date date) {
  const auto found =
      std::find_if(table.begin(), table.end(), [&](const auto& each) { return each.date == date; });
  return found == table.end() ? nullptr : &*found;
}

std::vector<Date> nearest_eclipses(std::span<const Elements> table, Date date, std::size_t count) {
  std::vector<Date> dates;
  for (const auto& each : table) dates.push_back(each.date);
  const auto distance = [&](Date other) {
    return abs(std::chrono::sys_days{other} - std::chrono::sys_days{date});
  };
  std::sort(dates.begin(), dates.end(), [&](Date a, Date b) { return distance(a) < distance(b); });
  dates.resize(std::min(count, dates.size()));
  std::sort(dates.begin(), dates.end());
  return dates;
}

}  // namespace noonfall::contacts
