// How bright each subject is, as the exponent Q of the published exposure table, and the time that follows.
#pragma once

#include <optional>
#include <span>
#include <string_view>

#include "lib/base/units.h"
#include "lib/exposure/exposure.h"
#include "lib/exposure/subject.h"

namespace noonfall::exposure {

/// Q of t = N^2 / (ISO * 2^Q): one more is twice as bright.
struct Brightness {
  double q = 0;
  friend constexpr auto operator<=>(Brightness, Brightness) = default;
};

/// One row of the table. `density` is the solar filter's, zero for subjects taken without.
struct BrightnessRow {
  Subject subject;
  double density = 0;
  Brightness brightness;
};

struct BrightnessTable {
  std::string_view edition;
  std::string_view source;
  std::span<const BrightnessRow> rows;
};

/// The table of the 1997 bulletin. Later editions are said to print beads and chromosphere one stop fainter
/// (from memory).
[[nodiscard]] const BrightnessTable& published_brightness();

/// Where a brightness comes from.
enum class Basis {
  table_row,        // printed
  between_rows,     // straight line in Q over filter density, or over log height in the corona
  beyond_rows,      // filter: log2(10) a unit of density; corona below 0.1: its slope; above 8: the last row
  common_practice,  // no published row and no source
};
[[nodiscard]] std::string_view to_text(Basis basis);

/// The brightest and the faintest part of a subject; the same but for a corona over a range of heights.
struct BrightnessRange {
  Brightness brightest;
  Brightness faintest;
  Basis basis = Basis::table_row;

  /// What one exposure for the whole subject is made for.
  [[nodiscard]] Brightness middle() const { return {(brightest.q + faintest.q) / 2}; }
};

/// `density` is that of the solar filter in front of the lens (0: none) and counts for the photosphere only:
/// everything else is taken without. Empty for a landscape, which nothing published covers.
[[nodiscard]] std::optional<BrightnessRange> brightness_of(const Subject& subject, double density);

/// The formula of the table with exact values.
[[nodiscard]] Seconds ideal_seconds(Brightness brightness, FNumber aperture, Iso iso);

}  // namespace noonfall::exposure
