#include "sim/wire/property_sheet.h"

#include <algorithm>
#include <utility>

#include "lib/base/match.h"

namespace noonfall::wire {

void PropertySheet::drop(const std::vector<std::uint16_t>& codes) {
  std::erase_if(rows_, [&](const Row& row) { return std::ranges::count(codes, row.code) > 0; });
}

void PropertySheet::amend(std::uint16_t code, const std::function<Property(Property)>& change) {
  for (auto& row : rows_) {
    if (row.code != code) continue;
    row.maker = [change, made = std::move(row.maker)](Utc now) { return change(made(now)); };
  }
}

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

Property with_bulb(Property shutter, const Value& bulb, TetheredCamera& camera) {
  if (auto* offered = std::get_if<ValueList>(&shutter.description.form)) offered->push_back(bulb);
  if (camera.is_at_bulb()) shutter.description.current = bulb;
  shutter.set = [&camera, bulb, time = std::move(shutter.set)](const Value& wanted, Utc now) {
    return wanted == bulb ? camera.set_bulb(now) : time(wanted, now);
  };
  return shutter;
}

Property read_only(std::uint16_t code, Value value, Form form) {
  return {{code, Access::read_only, value, value, std::move(form)}, {}};
}

Property files_setting(std::uint16_t code, TetheredCamera& camera,
                       const std::vector<std::pair<body::Files, Value>>& codes) {
  return coded_setting<body::Files>(code, codes, camera.files(), [&camera](body::Files files, Utc now) {
    return camera.leave(files, now);
  });
}

Property as_it_is(Property property) {
  auto& description = property.description;
  return read_only(description.code, description.current, ValueList{description.current});
}

void add_more_settings(PropertySheet& sheet, int count) {
  for (int n = 0; n < count; ++n) {
    const auto code = static_cast<std::uint16_t>(first_more_setting + n);
    sheet.add(code, [code](Utc) {
      return read_only(code, std::uint16_t{1},
                       ValueList{std::uint16_t{0}, std::uint16_t{1}, std::uint16_t{2}, std::uint16_t{3}});
    });
  }
}

}  // namespace noonfall::wire
