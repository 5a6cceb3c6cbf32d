// The rules of the filter window, each at its boundary, a microsecond before and a microsecond after. The
// rules themselves are the project's own (docs/safety); nothing published gives seconds for them.
#include "lib/timeline/filter_window.h"

#include <algorithm>
#include <string>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "tests/unit/timeline/scene.h"

namespace noonfall::timeline {
namespace {

using namespace std::chrono_literals;
using contacts::ContactName;
using contacts::Kind;
using tests::at;
using tests::built;
using tests::error_codes;

std::string rig_with_filter(const std::string& filter) {
  return fmt::format(R"(rigs:
  long:
    body: {{simulate: mirrorless-20}}
    lens: {{focal_length: 600 mm}}
    mount: tracking
    exposure: {{aperture: f/8, iso: 200}}
    filter: {{{}}}
steps:
  - {{name: corona, rig: long, subject: corona 1, from: C2 + 10 s, until: C3 - 10 s, every: back to back}}
)",
                     filter);
}

/// One step on `long` with the usual filter: off from C2 - 30 s, back on by C3 + 30 s, 8 s of handling.
std::string one_step(const std::string& keys) {
  return "steps:\n  - {name: a, rig: long, " + keys + "}\n";
}

/// A step that opens the window and stays well inside, and one more.
std::string beside_corona(const std::string& keys) {
  return "steps:\n  - {name: corona, rig: long, subject: corona 1, from: C2 + 10 s, until: C3 - 10 s, every: "
         "back to "
         "back}\n  - {name: a, rig: long, " +
         keys + "}\n";
}

contacts::Circumstances sky_with_totality(Duration totality) {
  auto sky = tests::sky();
  sky.contacts[static_cast<std::size_t>(ContactName::c3)]->utc = at("09:00:00") + totality;
  return sky;
}

std::string prominences_at(const char* due) {
  return fmt::format("subject: prominences, at: {}", due);
}

}  // namespace

TEST_CASE("the bounds are 60 s outside totality, less the contacts' uncertainty and the clock's") {
  const auto bounds = window_bounds(tests::sky(), 100ms);
  REQUIRE(bounds);
  CHECK(bounds->opens_earliest == at("08:59:02.1"));
  CHECK(bounds->closes_latest == at("09:04:57.9"));
}

TEST_CASE("there are no bounds where the eclipse isn't total") {
  CHECK_FALSE(window_bounds(tests::sky(Kind::annular), 100ms));
  CHECK_FALSE(window_bounds(tests::sky(Kind::partial), 100ms));
  CHECK_FALSE(window_bounds(tests::sky(Kind::none), 100ms));
}

TEST_CASE("totality is certain only when it outlasts both uncertainties") {
  CHECK_FALSE(window_bounds(sky_with_totality(4'199'999us), 100ms));
  CHECK_FALSE(window_bounds(sky_with_totality(4'200'000us), 100ms));
  CHECK(window_bounds(sky_with_totality(4'200'001us), 100ms));
}

TEST_CASE("where totality isn't certain the plan is refused, and nothing overrides that") {
  const auto made =
      built(one_step("subject: prominences, at: MID, patience: 1 s"), sky_with_totality(4'200'000us));
  CHECK(error_codes(made) == "totality-not-certain");
  CHECK_FALSE(made.timeline);
}

TEST_CASE("the filter never starts coming off earlier than the bound") {
  CHECK(error_codes(built(rig_with_filter("density: 5, opens: C2 - 57.900001 s"))) == "filter-opens-early");
  CHECK(error_codes(built(rig_with_filter("density: 5, opens: C2 - 57.9 s"))) == "none");
  CHECK(error_codes(built(rig_with_filter("density: 5, opens: C2 - 57.899999 s"))) == "none");
}

TEST_CASE("the filter is never back on later than the bound") {
  CHECK(error_codes(built(rig_with_filter("density: 5, closes: C3 + 57.899999 s"))) == "none");
  CHECK(error_codes(built(rig_with_filter("density: 5, closes: C3 + 57.9 s"))) == "none");
  CHECK(error_codes(built(rig_with_filter("density: 5, closes: C3 + 57.900001 s"))) == "filter-closes-late");
}

TEST_CASE("a window leaves time between the two handlings") {
  CHECK(error_codes(built(rig_with_filter("density: 5, opens: MID - 8 s, closes: MID + 7.999999 s"))) ==
        "filter-window-too-short");
  CHECK(error_codes(built(rig_with_filter("density: 5, opens: MID - 8 s, closes: MID + 8 s"))) ==
        "filter-window-too-short");
  CHECK(error_codes(built(rig_with_filter("density: 5, opens: MID - 8 s, closes: MID + 8.000001 s"))) ==
        "filter-still-on");  // the window stands; the corona step is longer than it
}

TEST_CASE("an unfiltered shutter opens no earlier than the filter is off") {
  CHECK(error_codes(built(one_step(prominences_at("C2 - 22.000001 s")))) == "filter-still-on");
  CHECK(error_codes(built(one_step(prominences_at("C2 - 22 s")))) == "none");
  CHECK(error_codes(built(one_step(prominences_at("C2 - 21.999999 s")))) == "none");
}

TEST_CASE("a shutter due as the filter comes off is held back by the body's jitter") {
  const auto step = [](const char* due) {
    return tests::timeline_of(one_step(prominences_at(due))).rigs[0].steps[0];
  };
  CHECK(step("C2 - 22 s").targets[0].due == at("08:59:38.008"));  // mirrorless-20: 8 ms
  CHECK(step("C2 - 21.992001 s").targets[0].due == at("08:59:38.008"));
  CHECK(step("C2 - 21.992 s").targets[0].due == at("08:59:38.008"));
  CHECK(step("C2 - 21.991999 s").targets[0].due == at("08:59:38.008001"));
}

TEST_CASE("an unfiltered shutter is closed when the filter must go back on") {
  const auto ends = [](const char* until) {
    return one_step(fmt::format("subject: prominences, from: MID, until: {}, every: back to back", until));
  };
  CHECK(error_codes(built(ends("C3 + 21.999999 s"))) == "none");
  CHECK(error_codes(built(ends("C3 + 22 s"))) == "none");
  CHECK(error_codes(built(ends("C3 + 22.000001 s"))) == "filter-back-on");
}

TEST_CASE("exposure time counts: a long frame due inside may still end outside") {
  const auto long_frame = [](const char* due) {
    return one_step(fmt::format("subject: corona 4, at: {}, exposure: {{shutter: 2 s}}", due));
  };
  // 52 ms: the lag of mirrorless-20, 60 ms +- 8 ms, trusted to within 30 %, is 36.4 to 88.4 ms.
  CHECK(error_codes(built(long_frame("C3 + 19.947999 s"))) == "none");
  CHECK(error_codes(built(long_frame("C3 + 19.948 s"))) == "none");
  CHECK(error_codes(built(long_frame("C3 + 19.948001 s"))) == "no-room-for-lag");
  CHECK(error_codes(built(long_frame("C3 + 20 s"))) == "no-room-for-lag");
  CHECK(error_codes(built(long_frame("C3 + 20.000001 s"))) == "filter-back-on");
}

TEST_CASE("the window's edge cuts the slack that patience would give") {
  const auto made =
      tests::timeline_of(one_step("subject: corona 4, at: C3 + 19 s, exposure: {shutter: 2 s}"));
  CHECK(made.rigs[0].steps[0].until == at("09:04:22"));
}

TEST_CASE("a filtered shutter is closed when the filter starts coming off") {
  const auto ends = [](const char* until) {
    return beside_corona(
        fmt::format("subject: photosphere, from: C2 - 90 s, until: {}, every: back to back", until));
  };
  CHECK(error_codes(built(ends("C2 - 30.000001 s"))) == "none");
  CHECK(error_codes(built(ends("C2 - 30 s"))) == "none");
  CHECK(error_codes(built(ends("C2 - 29.999999 s"))) == "filter-coming-off");
}

TEST_CASE("a filtered shutter opens no earlier than the filter is back on") {
  const auto begins = [](const char* from) {
    return beside_corona(
        fmt::format("subject: photosphere, from: {}, until: C3 + 90 s, every: back to back", from));
  };
  CHECK(error_codes(built(begins("C3 + 29.999999 s"))) == "filter-coming-off");
  CHECK(error_codes(built(begins("C3 + 30 s"))) == "none");
  CHECK(error_codes(built(begins("C3 + 30.000001 s"))) == "none");
}

TEST_CASE("no frame of a filtered series may lie in the window, whatever its ends do") {
  const auto made = built(
      "steps:\n  - {name: a, rig: long, subject: photosphere, at: [C2 - 60 s, MID, C3 + 60 s]}\n"
      "  - {name: b, rig: long, subject: prominences, at: MID + 20 s}\n");
  CHECK(error_codes(made) == "filter-coming-off");
}

TEST_CASE("at an annular or partial eclipse every filter stays on and unfiltered steps are left out") {
  const auto text = beside_corona("subject: photosphere, at: MID");
  for (const auto kind : {Kind::annular, Kind::partial}) {
    const auto made = built(text, tests::sky(kind));
    REQUIRE(made.timeline);
    CHECK_FALSE(made.timeline->rigs[0].window);
    CHECK(made.timeline->rigs[0].steps.size() == 1);
    CHECK(made.timeline->skipped.size() == 1);
    CHECK(made.timeline->cues.empty());
  }
}

TEST_CASE("a filter that no step needs off stays on, without cues and with a warning") {
  const auto made = built(one_step("subject: photosphere, at: C1 + 5 min"));
  REQUIRE(made.timeline);
  CHECK_FALSE(made.timeline->rigs[0].window);
  CHECK(made.timeline->cues.empty());
  CHECK(tests::warning_codes(made) == "filter-stays-on");
}

namespace {

std::string two_filters(const char* a_first, const char* b_first, const char* a_last, const char* b_last) {
  return fmt::format(R"(rigs:
  a:
    body: {{simulate: mirrorless-20}}
    lens: {{focal_length: 600 mm}}
    mount: tracking
    exposure: {{aperture: f/8, iso: 200}}
    filter: {{density: 5.0, handling: 8 s}}
  b:
    body: {{simulate: mirror-24}}
    lens: {{focal_length: 200 mm}}
    mount: tracking
    exposure: {{aperture: f/8, iso: 200}}
    filter: {{density: 5.0, handling: 6 s}}
steps:
  - {{name: of a, rig: a, subject: prominences, from: {}, until: {}, every: back to back}}
  - {{name: of b, rig: b, subject: prominences, from: {}, until: {}, every: back to back}}
)",
                     a_first, a_last, b_first, b_last);
}

}  // namespace

TEST_CASE("one operator takes filters off one after the other, the rig that shoots first first") {
  const auto made = tests::timeline_of(two_filters("C2 + 1 s", "C2 - 20 s", "MID", "MID"));
  const auto& a = *made.rigs[0].window;
  const auto& b = *made.rigs[1].window;
  CHECK(b.opens == at("08:59:30"));
  CHECK(b.usable_from == at("08:59:36"));
  CHECK(a.opens == at("08:59:36"));
  CHECK(a.usable_from == at("08:59:44"));
}

TEST_CASE("filters go back on one after the other, the rig that shoots last last, each in time") {
  const auto made = tests::timeline_of(two_filters("MID", "MID", "C3 + 10 s", "C3 + 20 s"));
  const auto& a = *made.rigs[0].window;
  const auto& b = *made.rigs[1].window;
  CHECK(b.closes == at("09:04:30"));
  CHECK(b.usable_until == at("09:04:24"));
  CHECK(a.closes == at("09:04:24"));
  CHECK(a.usable_until == at("09:04:16"));
}

TEST_CASE("staggering moves the instant from which the second rig may shoot") {
  CHECK(error_codes(built(two_filters("C2 - 22 s", "C2 - 16.000001 s", "MID", "MID"))) == "filter-still-on");
  CHECK(error_codes(built(two_filters("C2 - 22 s", "C2 - 16 s", "MID", "MID"))) == "none");
  CHECK(error_codes(built(two_filters("C2 - 22 s", "C2 - 15.999999 s", "MID", "MID"))) == "none");
}

TEST_CASE("staggering moves the instant until which the first rig may shoot") {
  CHECK(error_codes(built(two_filters("MID", "MID", "C3 + 15.999999 s", "C3 + 24 s"))) == "none");
  CHECK(error_codes(built(two_filters("MID", "MID", "C3 + 16 s", "C3 + 24 s"))) == "none");
  CHECK(error_codes(built(two_filters("MID", "MID", "C3 + 16.000001 s", "C3 + 24 s"))) == "filter-back-on");
}

TEST_CASE("totality too short for one operator to handle every filter is refused") {
  auto text = two_filters("MID", "MID", "MID + 1 s", "MID + 1 s");
  for (std::size_t place; (place = text.find("density: 5.0")) != std::string::npos;)
    text.replace(place, 12, "density: 5, opens: MID - 14 s, closes: MID + 14 s");
  CHECK(error_codes(built(text)) == "filters-one-operator filters-one-operator");  // at each filter
}

TEST_CASE("two people take their filters off at once, but for the voice that speaks both cues, by name") {
  auto text = two_filters("C2 + 1 s", "C2 - 20 s", "MID", "MID");
  const std::string names[] = {"Kim", "Ada"};
  std::size_t place = 0;
  for (const auto& name : names) {
    place = text.find("filter: {", place);
    REQUIRE(place != std::string::npos);
    text.insert(place, "person: " + name + "\n    ");
    place += name.size() + 30;
  }
  const auto made = tests::timeline_of(text);
  CHECK(made.rigs[1].window->opens == at("08:59:30"));
  CHECK(made.rigs[0].window->opens == at("08:59:34"));  // 4 s later, not after the other's 6 s of handling
  CHECK(made.rigs[0].window->usable_until - made.rigs[1].window->usable_until == std::chrono::seconds{4});
  const auto off = std::ranges::count_if(made.cues, [](const Cue& cue) {
    return cue.kind == CueKind::filter_off &&
           (cue.words.starts_with("Kim, ") || cue.words.starts_with("Ada, "));
  });
  CHECK(off == 2);
}

}  // namespace noonfall::timeline
