// Comma-separated tables without quotes, as rows whose cells know their place.
#pragma once

#include <string_view>
#include <vector>

#include "lib/base/diagnostic.h"

namespace noonfall::contacts {

struct CsvCell {
  std::string_view text;  // without the space around it
  Mark mark;
};
using CsvRow = std::vector<CsvCell>;

/// Hands out the rows of a text one by one, skipping blank lines and comments, lines that begin with "#"; a
/// byte-order mark and '\r' are tolerated.
/// The text must outlive the rows.
class CsvReader {
 public:
  explicit CsvReader(std::string_view text);
  /// Fills `row` with the next row's cells; false at the end.
  bool next(CsvRow& row);

 private:
  std::string_view rest_;
  int line_ = 0;
};

}  // namespace noonfall::contacts
