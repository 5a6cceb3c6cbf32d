// Reads a committed reference table: a CSV with a header, cells perhaps quoted.
#pragma once

#include <filesystem>
#include <fstream>
#include <map>
#include <stdexcept>
#include <string>
#include <vector>

#include "tests/source_folder.h"

namespace noonfall::reference {

using Row = std::map<std::string, std::string>;

inline std::vector<std::string> split(const std::string& line) {
  std::vector<std::string> cells(1);
  bool quoted = false;
  for (const char c : line) {
    if (c == '"') {
      quoted = !quoted;
    } else if (c == ',' && !quoted) {
      cells.emplace_back();
    } else if (c != '\r') {
      cells.back() += c;
    }
  }
  return cells;
}

/// A missing file throws: a test without its table proves nothing.
inline std::vector<Row> read_csv(const std::filesystem::path& path) {
  std::ifstream file{path};
  if (!file) throw std::runtime_error("can't read " + path.string());
  std::string line;
  std::getline(file, line);
  const auto header = split(line);
  std::vector<Row> rows;
  while (std::getline(file, line)) {
    const auto cells = split(line);
    Row row;
    for (std::size_t n = 0; n < header.size(); ++n) row[header[n]] = n < cells.size() ? cells[n] : "";
    rows.push_back(row);
  }
  return rows;
}

/// Rows of tests/reference/`name`.
inline std::vector<Row> read_table(const std::string& name) {
  return read_csv(std::filesystem::path{NOONFALL_SOURCE} / "tests/reference" / name);
}

}  // namespace noonfall::reference
