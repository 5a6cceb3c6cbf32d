#include "lib/exposure/subject.h"

#include <algorithm>
#include <array>
#include <utility>

#include <fmt/format.h>

#include "lib/base/number.h"

namespace noonfall::exposure {
namespace {

constexpr double lowest_radii = 0.05;
constexpr double highest_radii = 20;

constexpr std::array<std::pair<SubjectKind, std::string_view>, 8> names{
    {{SubjectKind::photosphere, "photosphere"},
     {SubjectKind::diamond_ring, "diamond ring"},
     {SubjectKind::beads, "beads"},
     {SubjectKind::chromosphere, "chromosphere"},
     {SubjectKind::prominences, "prominences"},
     {SubjectKind::corona, "corona"},
     {SubjectKind::earthshine, "earthshine"},
     {SubjectKind::landscape, "landscape"}}};

std::optional<Subject> parse_corona(std::string_view heights) {
  const auto to = heights.find(" to ");
  const auto low = parse_decimal(trim(heights.substr(0, to)));
  const auto high = to == std::string_view::npos ? low : parse_decimal(trim(heights.substr(to + 4)));
  if (!low || !high || *low < lowest_radii || *high > highest_radii || *low > *high) return std::nullopt;
  return Subject{SubjectKind::corona, *low, *high};
}

}  // namespace

std::string to_text(const Subject& subject) {
  const auto name = std::find_if(names.begin(), names.end(),
                                 [&](const auto& entry) { return entry.first == subject.kind; });
  if (subject.kind != SubjectKind::corona) return std::string{name->second};
  if (subject.low_radii == subject.high_radii) return fmt::format("corona {}", subject.low_radii);
  return fmt::format("corona {} to {}", subject.low_radii, subject.high_radii);
}

std::optional<Subject> parse_subject(std::string_view text) {
  constexpr std::string_view corona = "corona ";
  if (text.starts_with(corona)) return parse_corona(text.substr(corona.size()));
  for (const auto& [kind, name] : names) {
    if (name == text && kind != SubjectKind::corona) return Subject{kind};
  }
  return std::nullopt;
}

}  // namespace noonfall::exposure
