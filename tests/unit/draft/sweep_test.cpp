// Wherever an eclipse is seen a draft can be shot as written, and the rehearsal accounts for every frame.
// NOONFALL_DRAFT_SITES sets how many sites of each eclipse are tried (the whole sweep: 200); a few are by
// default.
#include <cstdlib>
#include <random>

#include <fmt/format.h>

#include "lib/contacts/path.h"
#include "lib/contacts/sky_track.h"
#include "lib/report/report.h"
#include "sim/rehearse/rehearsal.h"
#include "tests/unit/draft/drafts.h"

namespace noonfall::draft {
namespace {

using contacts::PathLine;
using contacts::Site;

class Sites {
 public:
  explicit Sites(const contacts::Elements& elements)
      : shadow_{elements, contacts::delta_t_for(elements, {})} {}

  /// Within the path, where there is one.
  std::optional<Site> on_path(std::mt19937_64& chance) const {
    const auto hours = contacts::span_of(shadow_, PathLine::centre, {0});
    if (!hours) return {};
    const double t = std::uniform_real_distribution{hours->from, hours->to}(chance);
    const auto north = contacts::point_on(shadow_, PathLine::north, t, {0});
    const auto south = contacts::point_on(shadow_, PathLine::south, t, {0});
    const auto centre = contacts::point_on(shadow_, PathLine::centre, t, {0});
    if (!centre) return {};
    const auto limit = std::bernoulli_distribution{0.5}(chance) ? north : south;
    if (!limit) return centre;
    const double share = std::uniform_real_distribution{0.0, 1.05}(chance);
    double east = limit->longitude.value - centre->longitude.value;
    east -= 360 * std::round(east / 360);
    double longitude = centre->longitude.value + share * east;
    longitude -= 360 * std::round(longitude / 360);
    return Site{{std::clamp(std::lerp(centre->latitude.value, limit->latitude.value, share), -90.0, 90.0)},
                {longitude},
                {0}};
  }

  std::optional<Site> greatest() const {
    const auto hours = contacts::span_of(shadow_, PathLine::centre, {0});
    return hours ? contacts::point_on(shadow_, PathLine::centre, std::clamp(0.0, hours->from, hours->to), {0})
                 : std::nullopt;
  }

 private:
  contacts::Shadow shadow_;
};

/// In whole ten-thousandths of a degree, as people write them.
Site written(Site site) {
  site.latitude.value = std::round(site.latitude.value * 1e4) / 1e4;
  site.longitude.value = std::round(site.longitude.value * 1e4) / 1e4;
  return site;
}

Site anywhere(std::mt19937_64& chance) {
  const double up = std::uniform_real_distribution{-1.0, 1.0}(chance);
  return {degrees(std::asin(up)), {std::uniform_real_distribution{-180.0, 180.0}(chance)}, {0}};
}

bool is_the_sites_own(const Diagnostic& finding) {
  return finding.severity == Severity::warning && (finding.code.find("low-sun") != std::string::npos ||
                                                   finding.code.find("uncertain") != std::string::npos);
}

void check_rehearsal(timeline::Timeline timeline) {
  sim::RehearsalSetup setup;
  setup.timeline = std::move(timeline);
  const auto rehearsed = sim::rehearse(setup);
  const auto summary = report::summarise({rehearsed.lines, rehearsed.log.size(), false, {}});
  REQUIRE(summary);
  CHECK_FALSE(summary->strayed());
  CHECK(summary->complete);
  CHECK(summary->total.open == 0);
  CHECK(summary->total.failed == 0);
  CHECK(summary->total.unknown == 0);
  const auto report = report::to_text(*summary, {});
  CAPTURE(report);
  for (const auto& step : summary->steps) {
    CAPTURE(step.planned.step);
    CHECK(step.frames.skipped == 0);
    // what a back-to-back step had no time for it says, and most of it is there
    CHECK(2 * step.never_asked <= (step.planned.back_to_back ? step.planned.frames : 0));
    CHECK((step.never_asked == 0 || !step.reasons.empty()));
    if (!step.planned.back_to_back) CHECK(step.frames.fired == step.planned.frames);
  }
}

struct Kinds {
  int total = 0, annular = 0, partial = 0, none = 0;
};

void check_draft(Date date, const Site& site, const Gear& gear, Kinds& kinds) {
  const auto sky = tests::sky_at(date, site);
  if (sky.kind == contacts::Kind::none) return;
  const auto request = tests::request_at(site, {gear});
  if (!draft(request, sky)) {
    ++kinds.none;
    return;
  }
  ++(sky.kind == contacts::Kind::total     ? kinds.total
     : sky.kind == contacts::Kind::annular ? kinds.annular
                                           : kinds.partial);
  const auto where =
      fmt::format("{} at {},{} with {} mm {}", to_text(date), site.latitude.value, site.longitude.value,
                  gear.focal_length.value, gear.mount == plan::Mount::fixed ? "fixed" : "tracking");
  CAPTURE(where);
  const auto checked = tests::checked(request, sky);
  Diagnostics others;
  for (const auto& finding : checked.built.findings)
    if (!is_the_sites_own(finding)) others.push_back(finding);
  CHECK_MESSAGE(others.empty(), where << "\n" << to_text(others));
  REQUIRE(checked.built.timeline.has_value());
  check_rehearsal(*checked.built.timeline);
}

}  // namespace

TEST_CASE("a draft for any eclipse, site, lens and mount can be shot as written, and is when rehearsed") {
  const auto* asked = std::getenv("NOONFALL_DRAFT_SITES");
  const int sites = asked != nullptr ? std::atoi(asked) : 4;
  std::mt19937_64 chance{20260812};
  constexpr double lenses[] = {200, 400, 600, 1000};
  Kinds kinds;
  for (const auto& elements : contacts::built_in_elements()) {
    const auto year = elements.date.year();
    if (year < std::chrono::year{2026} || year > std::chrono::year{2040}) continue;
    const Sites of_eclipse{elements};
    const auto any_lens = [&] {
      const auto mount =
          std::bernoulli_distribution{0.5}(chance) ? plan::Mount::fixed : plan::Mount::tracking;
      const auto* body = std::bernoulli_distribution{0.5}(chance) ? "mirrorless-20" : "mirror-24";
      return tests::lens(lenses[std::uniform_int_distribution{0, 3}(chance)], mount, body);
    };
    if (const auto site = of_eclipse.greatest())
      check_draft(elements.date, written(*site), any_lens(), kinds);
    for (int n = 0; n < sites; ++n) {
      const auto on_path = of_eclipse.on_path(chance);
      check_draft(elements.date, written(on_path && n % 4 == 0 ? *on_path : anywhere(chance)), any_lens(),
                  kinds);
    }
  }
  MESSAGE(kinds.total << " total, " << kinds.annular << " annular, " << kinds.partial << " partial, "
                      << kinds.none << " with the Sun down");
  CHECK(kinds.total > 5);
  CHECK(kinds.annular > 5);
  CHECK(kinds.partial > 2);
}

}  // namespace noonfall::draft
