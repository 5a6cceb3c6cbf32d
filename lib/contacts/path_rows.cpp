#include "lib/contacts/path_rows.h"

#include <cmath>
#include <set>

namespace noonfall::contacts {
namespace {

void trace_between(const Shadow& shadow, PathLine line, double from, double to, Metres most_apart,
                   std::vector<Site>& sites) {
  const auto end = point_on(shadow, line, to, {0});
  if (!end || sites.empty()) return;
  constexpr double shortest_h = 1e-4;
  if (to - from > shortest_h && distance_between(sites.back(), *end) > most_apart) {
    const double middle = (from + to) / 2;
    trace_between(shadow, line, from, middle, most_apart, sites);
    trace_between(shadow, line, middle, to, most_apart, sites);
    return;
  }
  sites.push_back(*end);
}

}  // namespace

std::vector<PathRow> path_rows(const Shadow& shadow, double origin_h, double step_h) {
  std::set<double> hours;
  for (const auto line : all_path_lines) {
    const auto span = span_of(shadow, line, {0});
    if (!span) continue;
    hours.insert({span->from, span->to});
    for (double n = std::ceil((span->from - origin_h) / step_h); origin_h + n * step_h < span->to; ++n)
      hours.insert(origin_h + n * step_h);
  }
  std::vector<PathRow> rows;
  for (const double t : hours) {
    PathRow row{t, {}};
    for (const auto line : all_path_lines)
      row.at[static_cast<std::size_t>(line)] = point_on(shadow, line, t, {0});
    rows.push_back(row);
  }
  return rows;
}

std::vector<Site> trace(const Shadow& shadow, PathLine line, Metres most_apart) {
  std::vector<Site> sites;
  const auto span = span_of(shadow, line, {0});
  if (!span) return sites;
  if (const auto start = point_on(shadow, line, span->from, {0})) sites.push_back(*start);
  constexpr int pieces = 256;
  const double piece = (span->to - span->from) / pieces;
  for (int n = 0; n < pieces; ++n) {
    trace_between(shadow, line, span->from + n * piece, span->from + (n + 1) * piece, most_apart, sites);
  }
  return sites;
}

}  // namespace noonfall::contacts
