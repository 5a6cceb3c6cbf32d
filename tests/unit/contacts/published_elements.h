// Element sets as publications print them, fed through the parser a user's file goes through.
#pragma once

#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "lib/contacts/elements.h"

namespace noonfall::tests {

struct PublishedElements {
  std::string date;
  std::string type;
  std::string source;
  double t0_h;
  double gamma;
  double greatest_h;
  double tan_f1, tan_f2;
  std::vector<double> x, y, d, l1, l2, mu;
  double delta_t_s;
  double k1, k2;
};

inline std::string header_of_elements() {
  std::string header = "date,type,source,t0_tt_hour,gamma,greatest_tt_h,tan_f1,tan_f2";
  for (const auto* name : {"x", "y", "d", "l1", "l2", "mu"}) {
    for (int n = 0; n < 6; ++n) header += fmt::format(",{}{}", name, n);
  }
  return header;
}

inline std::string row_of(const PublishedElements& e) {
  auto row = fmt::format("{},{},{},{},{},{},{},{}", e.date, e.type, e.source, e.t0_h, e.gamma, e.greatest_h,
                         e.tan_f1, e.tan_f2);
  for (const auto* series : {&e.x, &e.y, &e.d, &e.l1, &e.l2, &e.mu}) {
    for (std::size_t n = 0; n < 6; ++n) row += fmt::format(",{}", n < series->size() ? (*series)[n] : 0.0);
  }
  return row + fmt::format(",{},{},{}", e.delta_t_s, e.k1, e.k2);
}

inline contacts::Elements as_user_file(const PublishedElements& published) {
  const auto text = header_of_elements() + ",delta_t_s,k1,k2\n" + row_of(published) + "\n";
  const auto table = contacts::parse_elements(text, "published.csv");
  INFO((table ? std::string{} : to_text(table.error())));
  REQUIRE(table);
  return table->front();
}

/// NASA/TP-2004-212762, Table 1; DE200/LE200.
inline PublishedElements total_2006_march_29() {
  return {"2006-03-29",
          "T",
          "NASA/TP-2004-212762",
          10,
          0.38433,
          10.2062694,
          0.0046826,
          0.0046593,
          {-0.2899179, 0.5060887, 0.0000181, -0.0000083},
          {0.2790394, 0.2789923, -0.0000386, -0.0000048},
          {3.3988402, 0.0155571, -0.0000008},
          {0.5370220, 0.0000644, -0.0000127},
          {-0.0090899, 0.0000641, -0.0000127},
          {328.7937010, 15.0043700},
          64.9,
          0.2725076,
          0.2722810};
}

/// Five Millennium Canon of Solar Eclipses, NASA/TP-2006-214141; VSOP87/ELP2000-82.
inline PublishedElements total_1999_august_11() {
  return {"1999-08-11",
          "T",
          "NASA/TP-2006-214141",
          11,
          0.5062,
          11.069167,
          0.0046129,
          0.00459,
          {0.0700420, 0.5443035, -0.0000406, -0.0000081},
          {0.5028410, -0.1184929, -0.0001158, 0.0000017},
          {15.3273401, -0.0120350, -0.0000030},
          {0.5424690, 0.0001168, -0.0000117},
          {-0.0036500, 0.0001163, -0.0000116},
          {343.6874080, 15.0029800},
          63.7,
          0.272488,
          0.272281};
}

/// Meeus, Elements of Solar Eclipses 1951-2200 (1989).
inline PublishedElements annular_1994_may_10() {
  return {"1994-05-10",
          "A",
          "Meeus 1989",
          17,
          0.4077,
          17.2074,
          0.0046308,
          0.0046077,
          {-0.173367, 0.4990629, 0.0000296, -0.00000563},
          {0.383484, 0.0869393, -0.0001183, -0.00000092},
          {17.68613, 0.010642, -0.000004},
          {0.566906, -0.0000318, -0.0000098},
          {0.020679, -0.0000317, -0.0000097},
          {75.90923, 15.001621},
          61,
          0.272488,
          0.272281};
}

}  // namespace noonfall::tests
