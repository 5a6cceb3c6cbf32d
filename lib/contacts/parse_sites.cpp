#include "lib/contacts/parse_sites.h"

#include <fmt/format.h>

#include "lib/base/number.h"
#include "lib/contacts/csv.h"

namespace noonfall::contacts {
namespace {

struct Column {
  std::string_view name;
  double lowest;
  double highest;
};
constexpr std::array<Column, 3> columns{Column{"latitude", -90, 90}, Column{"longitude", -180, 180},
                                        Column{"elevation_m", lowest_site.value, highest_site.value}};
constexpr std::size_t most_errors = 50;  // a list may have millions of lines
constexpr std::string_view header_text = "latitude,longitude,elevation_m";

bool is_header(const CsvRow& row) {
  if (row.size() != columns.size()) return false;
  for (std::size_t n = 0; n < columns.size(); ++n) {
    if (row[n].text != columns[n].name) return false;
  }
  return true;
}

/// The number in `cell`; 0 with an error when there is none fit for `column`.
double read_number(const Column& column, const CsvCell& cell, Diagnostics& errors) {
  const auto value = parse_decimal(cell.text);
  if (!value) {
    errors.push_back(
        error_at(cell.mark, "not-a-number",
                 fmt::format("{} \"{}\" {}", column.name, cell.text, why_not_a_number(cell.text)),
                 "a plain decimal number"));
    return 0;
  }
  if (*value < column.lowest || *value > column.highest) {
    errors.push_back(error_at(cell.mark, "out-of-range", fmt::format("{} is {}", column.name, cell.text),
                              fmt::format("{:g} to {:g}", column.lowest, column.highest)));
    return 0;
  }
  return *value;
}

Site read_site(const CsvRow& row, Diagnostics& errors) {
  if (row.size() != columns.size()) {
    errors.push_back(error_at(row.front().mark, "missing-cell", fmt::format("{} cells", row.size()),
                              fmt::format("3: {}", header_text)));
    return {};
  }
  return {{read_number(columns[0], row[0], errors)},
          {read_number(columns[1], row[1], errors)},
          {read_number(columns[2], row[2], errors)}};
}

}  // namespace

Result<std::vector<Site>> parse_sites(std::string_view text, std::string_view file) {
  Diagnostics errors;
  std::vector<Site> sites;
  CsvReader lines{text};
  CsvRow row;
  if (!lines.next(row) || !is_header(row)) {
    errors.push_back(error_at({1, 1}, "wrong-header", "the first line isn't the header of a list of sites",
                              std::string{header_text}));
  } else {
    while (lines.next(row)) sites.push_back(read_site(row, errors));
  }
  if (!errors.empty()) {
    errors = first_by_place(std::move(errors), most_errors);
    attach_source(errors, file, text);
    return fail(std::move(errors));
  }
  return sites;
}

}  // namespace noonfall::contacts
