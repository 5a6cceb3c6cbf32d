#include "lib/exposure/guide.h"

#include <algorithm>

#include <doctest/doctest.h>

using namespace noonfall::exposure;

TEST_CASE("the guide has every kind of subject, and each row is the formula's time on the body's choices") {
  const std::vector<Shutter> shutters{{1, 4000}, {1, 1000}, {1, 250}, {1, 60}, {1, 15}, {1, 4}, {1, 1}};
  const auto rows = exposure_guide({{80}, {400}, 5, shutters});
  for (const auto kind :
       {SubjectKind::photosphere, SubjectKind::diamond_ring, SubjectKind::beads, SubjectKind::chromosphere,
        SubjectKind::prominences, SubjectKind::corona, SubjectKind::earthshine, SubjectKind::landscape}) {
    CHECK(
        std::any_of(rows.begin(), rows.end(), [&](const GuideRow& row) { return row.subject.kind == kind; }));
  }
  for (const auto& row : rows) {
    CAPTURE(to_text(row.subject));
    if (!row.brightness) {
      CHECK(row.subject.kind == SubjectKind::landscape);
      CHECK_FALSE(row.shutter);
      continue;
    }
    CHECK(row.ideal->value == ideal_seconds(row.brightness->middle(), {80}, {400}).value);
    CHECK(std::find(shutters.begin(), shutters.end(), row.shutter->value) != shutters.end());
  }
}

TEST_CASE("the filter's density moves the photosphere and nothing else") {
  const auto thick = exposure_guide({{80}, {400}, 5, third_stop_shutters()});
  const auto thin = exposure_guide({{80}, {400}, 4, third_stop_shutters()});
  CHECK(thin.front().ideal->value == doctest::Approx(thick.front().ideal->value / 8));
  for (std::size_t i = 1; i + 1 < thick.size(); ++i) CHECK(thin[i].ideal->value == thick[i].ideal->value);
}
