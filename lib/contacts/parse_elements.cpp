#include "lib/contacts/parse_elements.h"

#include <algorithm>
#include <charconv>
#include <cmath>

#include <fmt/format.h>

#include "lib/base/code_points.h"
#include "lib/contacts/csv.h"
#include "lib/contacts/element_columns.h"

namespace noonfall::contacts {
namespace {

using Columns = std::vector<const ElementColumn*>;

/// One table being read: its errors, and which column holds what.
struct Reading {
  Diagnostics errors;
  Columns columns;  // from the fourth on
  std::vector<Elements> rows;

  void error(Mark mark, std::string code, std::string message, std::string hint) {
    errors.push_back(error_at(mark, std::move(code), std::move(message), std::move(hint)));
  }
};

constexpr std::array<std::string_view, 3> first_names{"date", "type", "source"};

std::string wanted_name(std::size_t column) {
  if (column < first_names.size()) return std::string{first_names[column]};
  return number_columns()[column - first_names.size()].name;
}

Mark end_of(const CsvCell& cell) {
  return {cell.mark.line, cell.mark.column + static_cast<int>(code_points(cell.text))};
}

/// The columns a table may add, in any order, each once.
void read_added_names(Reading& reading, const CsvRow& header, std::size_t from) {
  for (std::size_t n = from; n < header.size(); ++n) {
    const auto& known = constant_columns();
    const auto found = std::find_if(known.begin(), known.end(),
                                    [&](const auto& each) { return each.name == header[n].text; });
    if (found == known.end()) {
      reading.error(header[n].mark, "wrong-header", fmt::format("unknown column \"{}\"", header[n].text),
                    "delta_t_s, k1 or k2, or nothing, after mu5");
    } else if (std::find(reading.columns.begin(), reading.columns.end(), &*found) != reading.columns.end()) {
      reading.error(header[n].mark, "wrong-header",
                    fmt::format("column \"{}\" for the second time", found->name), "each column once");
    } else {
      reading.columns.push_back(&*found);
    }
  }
}

void read_header(Reading& reading, const CsvRow& header) {
  const auto fixed = first_names.size() + number_columns().size();
  for (std::size_t n = 0; n < fixed; ++n) {
    if (n >= header.size()) {
      return reading.error(end_of(header.back()), "wrong-header",
                           fmt::format("the header ends after {} columns", header.size()),
                           fmt::format("{} next", wanted_name(n)));
    }
    if (header[n].text != wanted_name(n)) {
      return reading.error(header[n].mark, "wrong-header",
                           fmt::format("column {} is \"{}\"", n + 1, header[n].text), wanted_name(n));
    }
  }
  for (const auto& column : number_columns()) reading.columns.push_back(&column);
  read_added_names(reading, header, fixed);
}

std::optional<EclipseType> parse_type(std::string_view text) {
  if (text == "P") return EclipseType::partial;
  if (text == "A" || text == "A-") return EclipseType::annular;
  if (text == "T" || text == "T-") return EclipseType::total;
  if (text == "H") return EclipseType::hybrid;
  return std::nullopt;
}

std::optional<double> parse_number(std::string_view text) {
  if (text.starts_with('+')) text.remove_prefix(1);
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  const bool whole = error == std::errc{} && end == text.data() + text.size();
  return whole && std::isfinite(value) ? std::optional{value} : std::nullopt;
}

void read_number(Reading& reading, const ElementColumn& column, const CsvCell& cell, Elements& into) {
  if (cell.text.empty()) {
    return reading.error(cell.mark, "missing-cell", fmt::format("{} is empty", column.name), "a number");
  }
  const auto value = parse_number(cell.text);
  if (!value) {
    return reading.error(cell.mark, "not-a-number", fmt::format("{} is \"{}\"", column.name, cell.text),
                         "a number such as -0.0000287 or -2.87e-05");
  }
  if (*value < column.lowest || *value > column.highest) {
    return reading.error(cell.mark, "out-of-range", fmt::format("{} is {}", column.name, cell.text),
                         fmt::format("{:g} to {:g}", column.lowest, column.highest));
  }
  column.store(into, column.index, *value);
}

void read_date(Reading& reading, const CsvCell& cell, Elements& into) {
  const auto date = parse_date(cell.text);
  if (!date) {
    return reading.error(cell.mark, "not-a-date", fmt::format("date is \"{}\"", cell.text),
                         "the UTC date of greatest eclipse, such as 2027-08-02");
  }
  into.date = *date;
  const auto same = [&](const Elements& row) { return row.date == *date; };
  if (std::any_of(reading.rows.begin(), reading.rows.end(), same)) {
    reading.error(cell.mark, "duplicate-date", fmt::format("{} for the second time", cell.text),
                  "one row for each eclipse");
  } else if (!reading.rows.empty() && *date < reading.rows.back().date) {
    reading.error(cell.mark, "out-of-order",
                  fmt::format("{} below {}", cell.text, noonfall::to_text(reading.rows.back().date)),
                  "the oldest eclipse first");
  }
}

void read_row(Reading& reading, const CsvRow& row) {
  const auto wanted = first_names.size() + reading.columns.size();
  if (row.size() != wanted) {
    return reading.error(row.size() < wanted ? end_of(row.back()) : row[wanted].mark, "missing-cell",
                         fmt::format("the row has {} cells", row.size()),
                         fmt::format("{}, as in the header", wanted));
  }
  Elements elements;
  read_date(reading, row[0], elements);
  if (const auto type = parse_type(row[1].text)) {
    elements.type = *type;
  } else {
    reading.error(row[1].mark, "unknown-type", fmt::format("type is \"{}\"", row[1].text),
                  "P (partial), A (annular), T (total) or H (hybrid)");
  }
  elements.source = row[2].text;
  for (std::size_t n = first_names.size(); n < wanted; ++n) {
    read_number(reading, *reading.columns[n - first_names.size()], row[n], elements);
  }
  reading.rows.push_back(std::move(elements));
}

}  // namespace

Result<std::vector<Elements>> parse_elements(std::string_view text, std::string_view file) {
  Reading reading;
  CsvReader lines{text};
  CsvRow row;
  if (!lines.next(row)) {
    reading.error({1, 1}, "wrong-header", "the table is empty", "the header of elements.csv");
  } else if (read_header(reading, row); reading.errors.empty()) {
    while (lines.next(row)) read_row(reading, row);
    if (reading.errors.empty() && reading.rows.empty()) {
      reading.error({1, 1}, "no-rows", "no eclipse below the header", "at least one row");
    }
  }
  if (!reading.errors.empty()) {
    attach_source(reading.errors, file, text);
    return fail(std::move(reading.errors));
  }
  return std::move(reading.rows);
}

}  // namespace noonfall::contacts
