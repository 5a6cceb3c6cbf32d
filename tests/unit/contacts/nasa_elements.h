// What NASA's Five Millennium Canon of Solar Eclipses prints for greatest eclipse, with the elements behind
// it (NASA/TP-2006-214141 and its catalog pages; tests/reference/nasa_elements.csv).
#pragma once

#include <string>
#include <vector>

#include "lib/contacts/elements.h"
#include "tests/unit/contacts/reference_table.h"

namespace noonfall::tests {

struct NasaGreatest {
  std::string date;
  double delta_t_s, greatest_tt_h;
  double latitude, longitude, duration_s;
  double width_km;  // 0: not known to us
};

inline const std::vector<NasaGreatest>& nasa_greatest() {
  static const std::vector<NasaGreatest> list{{"2017-08-21", 70.3, 18.444500, 37.0, -87.7, 160, 0},
                                              {"2024-04-08", 74.0, 18.308056, 25.3, -104.1, 268, 0},
                                              {"2026-08-12", 75.4, 17.785000, 65.2, -25.2, 138, 294},
                                              {"2027-08-02", 76.0, 10.130556, 25.5, 33.2, 383, 257.7},
                                              {"2028-07-22", 76.6, 2.944444, -15.6, 126.7, 310, 0}};
  return list;
}

inline contacts::Series series_in(const reference::Row& row, const std::string& name) {
  contacts::Series series{};
  for (std::size_t n = 0; n < 4; ++n) series[n] = std::stod(row.at(name + std::to_string(n)));
  return series;
}

/// The set of VSOP87/ELP2000-82 for one of them.
inline contacts::Elements elements_behind(const NasaGreatest& greatest) {
  for (const auto& row : reference::read_table("nasa_elements.csv")) {
    if (row.at("date") != greatest.date || row.at("ephemeris") != "VSOP87/ELP2000-82") continue;
    contacts::Elements elements;
    elements.date = *parse_date(greatest.date);
    elements.t0_h = std::stod(row.at("t0_tt_hour"));
    elements.greatest_h = greatest.greatest_tt_h;
    elements.tan_f1 = std::stod(row.at("tan_f1"));
    elements.tan_f2 = std::stod(row.at("tan_f2"));
    elements.x = series_in(row, "x");
    elements.y = series_in(row, "y");
    elements.d = series_in(row, "d");
    elements.l1 = series_in(row, "l1");
    elements.l2 = series_in(row, "l2");
    elements.mu = series_in(row, "mu");
    elements.delta_t = from_seconds(greatest.delta_t_s);
    return elements;
  }
  throw std::runtime_error("no NASA elements for " + greatest.date);
}

}  // namespace noonfall::tests
