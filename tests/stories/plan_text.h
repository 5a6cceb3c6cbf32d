// Plans as a user would write them, for stories.
#pragma once

#include <optional>
#include <string>

#include "lib/timeline/timeline.h"
#include "tests/stories/chance.h"

namespace noonfall::stories {

struct Place {  // a total eclipse at a site on its path
  std::string eclipse;
  double latitude = 0;
  double longitude = 0;
};
[[nodiscard]] Place any_place(Chance& chance);

/// Which parts of a plan are there.
struct Cast {
  bool long_rig = true;
  bool unfiltered = true;  // steps for which the long rig's filter comes off
};
[[nodiscard]] std::string any_plan(Chance& chance, const Place& place, const Cast& cast);

/// `site:` of the text moved.
[[nodiscard]] std::string at_place(std::string plan_text, const Place& before, const Place& after);

/// The timeline as on the day; empty where the plan would be refused the day before.
[[nodiscard]] std::optional<timeline::Timeline> timeline_before_the_day(const std::string& plan_text);
/// As an amendment on the day makes it; empty when it is refused even then.
[[nodiscard]] std::optional<timeline::Timeline> timeline_on_the_day(const std::string& plan_text);

}  // namespace noonfall::stories
