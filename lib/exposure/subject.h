// What a frame is exposed for.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace noonfall::exposure {

enum class SubjectKind {
  photosphere,  // the filtered Sun, whole or crescent
  diamond_ring,
  beads,
  chromosphere,
  prominences,
  corona,      // at a height above the limb, or over a range of heights
  earthshine,  // the Moon's face lit by the Earth
  landscape,
};

/// Heights in solar radii above the limb, 0.05 to 20, low <= high; meaningful for corona only.
struct Subject {
  SubjectKind kind = SubjectKind::photosphere;
  double low_radii = 0;
  double high_radii = 0;
  bool operator==(const Subject&) const = default;
};

/// "photosphere", "diamond ring", "corona 0.5", "corona 0.1 to 4".
[[nodiscard]] std::string to_text(const Subject& subject);
[[nodiscard]] std::optional<Subject> parse_subject(std::string_view text);

}  // namespace noonfall::exposure
