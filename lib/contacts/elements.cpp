#include "lib/contacts/elements.h"

#include <algorithm>
#include <charconv>
#include <cmath>

#include <fmt/format.h>

#include "lib/base/code_points.h"
#include "lib/contacts/csv.h"
#include "lib/contacts/earth_rotation.h"

namespace noonfall::embedded {
std::string_view elements_csv();  // made from elements.csv by the build
}

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
