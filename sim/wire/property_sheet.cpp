#include "sim/wire/property_sheet.h"

#include <algorithm>

#include "lib/base/match.h"

namespace noonfall::wire {

std::vector<std::uint16_t> PropertySheet::codes() const {
  std::vector<std::uint16_t> codes;
  for (const auto& row : rows_) codes.push_back(row.code);
  return codes;
}

std::optional<Property> PropertySheet::find(std::uint16_t code, Utc now) const {
  const auto row = std::ranges::find(rows_, code, &Row::code);
  return row == rows_.end() ? std::nullopt : std::optional{row->maker(now)};
}

bool allows(const Form& form, const Value& value) {
  return std::visit(Match{[](std::monostate) { return true; },
                          [&](const ValueRange& range) {
                            return number(range.least) <= number(value) &&
                                   number(value) <= number(range.most);
                          },
                          [&](const ValueList& list) { return std::ranges::count(list, value) > 0; }},
                    form);
}

Property read_only(std::uint16_t code, Value value, Form form) {
  return {{code, Access::read_only, value, value, std::move(form)}, {}};
}

}  // namespace noonfall::wire
