#include "lib/contacts/csv.h"

#include <algorithm>

#include "lib/base/code_points.h"
#include "lib/base/number.h"

namespace noonfall::contacts {
namespace {

CsvCell cell_of(std::string_view whole, Mark start) {
  const auto text = trim(whole);
  const auto indent = text.empty() ? 0 : static_cast<int>(text.data() - whole.data());
  return {text, {start.line, start.column + indent}};
}

}  // namespace

CsvReader::CsvReader(std::string_view text) : rest_(text) {
  if (rest_.starts_with(byte_order_mark)) rest_.remove_prefix(byte_order_mark.size());
}

bool CsvReader::next(CsvRow& row) {
  row.clear();
  while (!rest_.empty()) {
    const auto line = rest_.substr(0, rest_.find('\n'));
    rest_.remove_prefix(std::min(line.size() + 1, rest_.size()));
    ++line_;
    if (trim(line).empty() || trim(line).starts_with('#')) continue;
    int column = 1;
    for (std::size_t from = 0; from <= line.size();) {
      const auto to = std::min(line.find(',', from), line.size());
      const auto whole = line.substr(from, to - from);
      row.push_back(cell_of(whole, {line_, column}));
      column += static_cast<int>(code_points(whole)) + 1;
      from = to + 1;
    }
    return true;
  }
  return false;
}

}  // namespace noonfall::contacts
