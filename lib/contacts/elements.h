// The Besselian elements of one eclipse: where the Moon's shadow is, as polynomials of time.
#pragma once

#include <array>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "lib/base/result.h"
#include "lib/time/time_scales.h"
#include "lib/time/utc_text.h"

namespace noonfall::contacts {

/// What the eclipse is somewhere on Earth; a hybrid is total here and annular there.
enum class EclipseType { partial, annular, total, hybrid };
[[nodiscard]] std::string_view to_text(EclipseType type);

/// Coefficients of 1, t, t², …; t in hours of TT from t0.
using Series = std::array<double, 6>;

/// Lengths in equatorial radii of the Earth (6378.137 km), angles in degrees, as almanacs print them
/// (Explanatory Supplement to the Astronomical Almanac, 3rd ed., chapter 11). Good within t0 ± 4 h.
struct Elements {
  Date date;  // UTC date of greatest eclipse
  EclipseType type = EclipseType::partial;
  std::string source;     // the ephemeris behind them
  double t0_h = 0;        // hours of TT from 0h of `date`
  double gamma = 0;       // least distance of the shadow axis from the Earth's centre, north positive
  double greatest_h = 0;  // greatest eclipse, hours of TT from 0h of `date`
  double tan_f1 = 0;      // half-angles of the penumbral and umbral cones
  double tan_f2 = 0;
  Series x{};                       // the shadow axis in the fundamental plane, eastwards
  Series y{};                       // … and northwards
  Series d{};                       // declination of the axis
  Series l1{};                      // radius of the penumbra in the fundamental plane
  Series l2{};                      // radius of the umbra, negative where the eclipse is total
  Series mu{};                      // hour angle of the axis at Greenwich were UT1 equal to TT
  double k1 = 0.272488;             // radius of the Moon behind l1 and tan_f1
  double k2 = 0.272281;             // … behind l2 and tan_f2
  std::optional<Duration> delta_t;  // a publication's own TT − UT; then its UT stands for UTC
  bool operator==(const Elements&) const = default;

  [[nodiscard]] Tt t0() const { return at_hour(t0_h); }
  [[nodiscard]] Tt greatest() const { return at_hour(greatest_h); }

 private:
  [[nodiscard]] Tt at_hour(double hour) const {
    return {Duration{std::chrono::sys_days{date}.time_since_epoch()} + from_seconds(hour * 3600)};
  }
};

struct ElementColumn {
  std::string name;
  double lowest;
  double highest;
  void (*store)(Elements& into, int index, double value);
  int index = 0;  // of the coefficient, where the column is one
};

/// After "date,type,source": the numbers every table has.
[[nodiscard]] const std::vector<ElementColumn>& number_columns();
/// The constants a table may add to repeat a publication with its own: delta_t_s, k1, k2.
[[nodiscard]] const std::vector<ElementColumn>& constant_columns();

/// `text` is a CSV whose header is that of elements.csv, optionally followed by delta_t_s, k1, k2. Numbers
/// may be in scientific notation. Rows stand in the order of their dates; lines that begin with "#" are
/// comments. Every error has its line and column; `file` is the name they show.
[[nodiscard]] Result<std::vector<Elements>> parse_elements(std::string_view text, std::string_view file);

/// The table the program carries: every solar eclipse from 1960 to 2060 (made by tests/elements_maker).
/// Those before leap seconds bring their own Delta T.
[[nodiscard]] std::span<const Elements> built_in_elements();

/// The eclipse with this UTC date of greatest eclipse, or nullptr.
[[nodiscard]] const Elements* find_elements(std::span<const Elements> table, Date date);

/// The dates of the `count` eclipses nearest to `date`, oldest first.
[[nodiscard]] std::vector<Date> nearest_eclipses(std::span<const Elements> table, Date date,
                                                 std::size_t count);

}  // namespace noonfall::contacts
