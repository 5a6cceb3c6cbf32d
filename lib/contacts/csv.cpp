#include "lib/contacts/csv.h"

#include "lib/base/number.h"

namespace noonfall::contacts {
namespace {

constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";

/// The cell starting at byte `from` of `line`, marked at its first letter.
CsvCell cell_at(std::string_view line, std::size_t from, std::size_t to, int line_number) {
  const auto whole = line.substr(from, to - from);
  const auto text = trim(whole);
  const auto indent = text.empty() ? 0 : static_cast<std::size_t>(text.data() - whole.data());
  return {text, {line_number, static_cast<int>(from + indent) + 1}};
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
    if (trim(line).empty()) continue;
    for (std::size_t from = 0; from <= line.size();) {
      const auto to = std::min(line.find(',', from), line.size());
      row.push_back(cell_at(line, from, to, line_));
      from = to + 1;
    }
    return true;
  }
  return false;
}

}  // namespace noonfall::contacts
