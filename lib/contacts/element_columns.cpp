#include "lib/contacts/element_columns.h"

namespace noonfall::contacts {
namespace {

template <double Elements::*member>
void store_value(Elements& into, int /*index*/, double value) {
  into.*member = value;
}

template <Series Elements::*member>
void store_coefficient(Elements& into, int index, double value) {
  (into.*member)[static_cast<std::size_t>(index)] = value;
}

void store_delta_t(Elements& into, int /*index*/, double value) {
  into.delta_t = from_seconds(value);
}

/// Six columns. The limits are what any eclipse of the years 1900–2200 keeps well within: they catch shifted
/// columns, other units and slips of the point.
template <Series Elements::*member>
void add_series(std::vector<ElementColumn>& columns, const std::string& name, double constant_low,
                double constant_high, double rate_low, double rate_high, double bend) {
  const auto store = &store_coefficient<member>;
  columns.push_back({name + '0', constant_low, constant_high, store, 0});
  columns.push_back({name + '1', rate_low, rate_high, store, 1});
  for (int index = 2; index < 6; ++index) {
    columns.push_back({name + std::to_string(index), -bend, bend, store, index});
    bend /= 10;
  }
}

std::vector<ElementColumn> make_number_columns() {
  std::vector<ElementColumn> columns{
      {"t0_tt_hour", 0, 24, &store_value<&Elements::t0_h>},
      {"gamma", -1.6, 1.6, &store_value<&Elements::gamma>},
      {"greatest_tt_h", -1, 25, &store_value<&Elements::greatest_h>},
      {"tan_f1", 0.0044, 0.0049, &store_value<&Elements::tan_f1>},
      {"tan_f2", 0.0044, 0.0049, &store_value<&Elements::tan_f2>},
  };
  add_series<&Elements::x>(columns, "x", -1.2, 1.2, 0.4, 0.65, 0.001);
  add_series<&Elements::y>(columns, "y", -1.8, 1.8, -0.35, 0.35, 0.001);
  add_series<&Elements::d>(columns, "d", -24, 24, -0.02, 0.02, 0.0001);
  add_series<&Elements::l1>(columns, "l1", 0.5, 0.6, -0.001, 0.001, 0.0001);
  add_series<&Elements::l2>(columns, "l2", -0.03, 0.04, -0.001, 0.001, 0.0001);
  add_series<&Elements::mu>(columns, "mu", 0, 360, 14.98, 15.02, 0.0001);
  return columns;
}

}  // namespace

const std::vector<ElementColumn>& number_columns() {
  static const auto columns = make_number_columns();
  return columns;
}

const std::vector<ElementColumn>& constant_columns() {
  static const std::vector<ElementColumn> columns{
      {"delta_t_s", -20, 300, &store_delta_t},
      {"k1", 0.27, 0.275, &store_value<&Elements::k1>},
      {"k2", 0.27, 0.275, &store_value<&Elements::k2>},
  };
  return columns;
}

}  // namespace noonfall::contacts
