// What one rig's small pictures come to: what is wrong with them, and what a trim would mend.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "lib/look/filter_and_sky.h"
#include "lib/look/sun_seen.h"

namespace noonfall::look {

/// A filtered frame, beside what was computed for its instant.
struct Sight {
  Utc at;
  SunSeen seen;
  Stops exposed;          // more than the exposure table asks for
  double airmass = 0;     // beyond that of a Sun 60 degrees high
  double light_left = 1;  // of the whole Sun's
};

enum class Trouble { none, black, cut_off, near_side, too_bright, soft, dark, bright, cloud };

/// One for each sight.
struct Finding {
  Trouble trouble = Trouble::none;
  std::string words;                // for a person
  bool hands = false;               // somebody has to go there
  std::optional<double> trim = {};  // stops that would mend it, in thirds, beside the trim that is in force
};

class SunWatch {
 public:
  /// `assumed`: the computed light's magnitudes per airmass.
  explicit SunWatch(double assumed) : assumed_{assumed} {}

  /// `trim`: in force on the rig. Sights come in the order of their time.
  [[nodiscard]] Finding take(const Sight& sight, double trim);
  /// As last told.
  [[nodiscard]] Trouble trouble() const { return before_; }
  [[nodiscard]] std::optional<FilterAndSky> light() const { return fit(points_, assumed_); }

 private:
  [[nodiscard]] Finding judge(const Sight& sight, double trim);
  [[nodiscard]] std::optional<Finding> judge_place(const Sight& sight) const;
  [[nodiscard]] std::optional<Finding> judge_focus(const Sight& sight);
  [[nodiscard]] Finding judge_light(const Sight& sight, double trim) const;
  [[nodiscard]] Utc since(double from_stops, bool dark, double trim) const;

  double assumed_;
  std::vector<LightPoint> points_;
  std::vector<double> edges_;  // the first few: what sharp looks like here
  int soft_ = 0;               // sights in a row
  std::optional<Side> last_side_;
  Trouble before_ = Trouble::none;
};

}  // namespace noonfall::look
