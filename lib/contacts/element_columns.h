// The columns of an element table: their names, in order, what each may hold and where it goes.
#pragma once

#include <string>
#include <vector>

#include "lib/contacts/elements.h"

namespace noonfall::contacts {

struct ElementColumn {
  std::string name;
  double lowest;
  double highest;
  void (*store)(Elements& into, int index, double value);
  int index = 0;  // of the coefficient, where the column is one
};

/// After "date,type,source": the numbers every table has.
[[nodiscard]] const std::vector<ElementColumn>& number_columns();
/// The constants a table may add to repeat a publication with its own: delta_t_s, k1, k2.
[[nodiscard]] const std::vector<ElementColumn>& constant_columns();

}  // namespace noonfall::contacts
