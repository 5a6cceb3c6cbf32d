// `check --svg` and `--sheet`: colours by the published models of colour and of colour-blind eyes, and what
// the picture and the sheet say of a plan.
#include <array>
#include <cmath>
#include <fstream>
#include <sstream>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <boost/property_tree/ptree.hpp>
#include <boost/property_tree/xml_parser.hpp>

#include "daemon/cli/field_sheet.h"
#include "daemon/cli/palette.h"
#include "daemon/cli/stretched_axis.h"
#include "daemon/cli/timeline_plot.h"
#include "daemon/load/plan_loading.h"
#include "daemon/load/time_zone.h"
#include "tests/source_folder.h"

namespace noonfall::cli {
namespace {

using namespace std::chrono_literals;
using Rgb = std::array<double, 3>;
using Matrix = std::array<Rgb, 3>;

// Linear RGB as eyes without one kind of cone have it: Machado, Oliveira & Fernandes 2009
// (doi:10.1109/TVCG.2009.113), severity 1.
constexpr Matrix protan{
    {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}}};
constexpr Matrix deutan{
    {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}}};
constexpr Matrix tritan{
    {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}}};
constexpr Matrix usual{{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}};

Rgb seen_by(const Matrix& eye, const Rgb& colour) {
  Rgb out{};
  for (std::size_t n = 0; n < 3; ++n)
    out[n] = eye[n][0] * colour[0] + eye[n][1] * colour[1] + eye[n][2] * colour[2];
  return out;
}

// What grey paper keeps: relative luminance of IEC 61966-2-1.
double luminance(const Rgb& colour) {
  return 0.2126 * colour[0] + 0.7152 * colour[1] + 0.0722 * colour[2];
}

const load::LoadedPlan& demo() {
  static const auto loaded = load::load_plan({NOONFALL_SOURCE "/plans/two-rigs-2027.yaml",
                                              {},
                                              built_in_leap_seconds(),
                                              {},
                                              timeline::Strictness::plan_check});
  return loaded;
}

/// Throws where the text isn't well-formed.
boost::property_tree::ptree xml(const std::string& text) {
  std::istringstream in{text};
  boost::property_tree::ptree tree;
  boost::property_tree::read_xml(in, tree);
  return tree;
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("colours are OKLab's: the primaries of a screen as CSS Color 4 gives them") {
  const std::pair<OkLab, Rgb> examples[] = {{{0.62796, 0.22486, 0.12585}, {1, 0, 0}},
                                            {{0.86644, -0.23389, 0.17950}, {0, 1, 0}},
                                            {{0.45201, -0.03246, -0.31153}, {0, 0, 1}}};
  for (const auto& [lab, rgb] : examples) {
    const auto made = linear_rgb(lab);
    for (std::size_t n = 0; n < 3; ++n) CHECK(made[n] == doctest::Approx(rgb[n]).epsilon(0.001).scale(1));
  }
  CHECK(hex({1, 0, 0}) == "#ffffff");
  CHECK(hex({0, 0, 0}) == "#000000");
}

TEST_CASE(
    "from little to much the colours go evenly, within a screen's reach, and grow lighter to every eye") {
  constexpr int steps = 64;
  double first = 0;
  for (const auto& eye : {usual, protan, deutan, tritan}) {
    double before = 0;
    for (int n = 0; n <= steps; ++n) {
      const auto colour = linear_rgb(from_little_to_much(n / static_cast<double>(steps)));
      for (const double part : colour) {
        CHECK(part >= -0.001);
        CHECK(part <= 1.001);
      }
      const double light = luminance(seen_by(eye, colour));
      CHECK(light > before);
      before = light;
    }
    CHECK(before > 0.5);
  }
  for (int n = 0; n < steps; ++n) {
    const auto a = from_little_to_much(n / static_cast<double>(steps));
    const auto b = from_little_to_much((n + 1) / static_cast<double>(steps));
    const double apart =
        std::hypot(a.lightness - b.lightness, a.green_red - b.green_red, a.blue_yellow - b.blue_yellow);
    if (n == 0) first = apart;
    CHECK(apart == doctest::Approx(first).epsilon(0.01));
  }
}

TEST_CASE("the axis runs on, stretches totality, and finds its way back") {
  const auto& timeline = *demo().timeline;
  const StretchedAxis axis{timeline, 100, 1100};
  const auto& sky = timeline.circumstances;
  const auto c2 = sky.at(contacts::ContactName::c2)->utc;
  const auto c3 = sky.at(contacts::ContactName::c3)->utc;
  CHECK(axis.x(c3 + 1min) - axis.x(c2 - 1min) == doctest::Approx(620));
  double before = 0;
  for (auto at = c2 - 2h; at < c3 + 2h; at += 1min) {
    CHECK(axis.x(at) >= before);
    before = axis.x(at);
    if (before > 100 && before < 1100) CHECK(std::abs(in_seconds(axis.instant(before) - at)) < 0.01);
  }
  CHECK(before == 1100);
}

TEST_CASE(
    "the picture is well-formed and has every rig, step and contact, with markup in names taken as words") {
  auto timeline = *demo().timeline;
  const auto svg = timeline_svg(timeline, load::local_clock(timeline.zone));
  CHECK(xml(svg).count("svg") == 1);
  for (const auto& rig : timeline.rigs) {
    CHECK(has(svg, ">" + rig.name + "<"));
    for (const auto& step : rig.steps) CHECK(has(svg, ">" + step.name + ", "));
  }
  CHECK(has(svg, ">C2  10:45:10<"));
  CHECK(has(svg, "camera filter off, from 10:44:40 to 10:50:18"));
  CHECK(has(svg, "Camera filter back on, long."));
  timeline.title = "<script>alert(1)</script> & co";
  timeline.rigs[0].name = "a<b>&c";
  const auto odd = timeline_svg(timeline, {});
  CHECK(xml(odd).count("svg") == 1);
  CHECK_FALSE(has(odd, "<script"));
  CHECK(has(odd, "&lt;script&gt;"));
  timeline.rigs[0].name = "äöüäöüäöüäöüäöüäöü";
  CHECK(has(timeline_svg(timeline, {}), ">äöüäöüäöüäöüäö…<"));
}

TEST_CASE("a picture stays small however many frames there are") {
  auto timeline = *demo().timeline;
  auto& step = timeline.rigs[0].steps[0];
  const auto first = step.targets.front();
  for (int n = 0; n < 20'000; ++n) step.targets.push_back({first.due + n * 100ms, first.shape});
  CHECK(timeline_svg(timeline, {}).size() < 200'000);
}

TEST_CASE("a field sheet has contacts, filter times on the side of the filter, hands and a checklist") {
  const auto& timeline = *demo().timeline;
  const auto sheet = field_sheet(timeline, *demo().plan, load::local_clock(timeline.zone));
  CHECK(to_text(sheet) ==
        R"(Breakwater, two rigs
2027-08-02, total at 36.0139, -5.6033, totality 4 min 38.6 s. Times are Europe/Madrid.

! Looking at the Sun, or through a lens or finder aimed at it, can blind you; an unfiltered lens can burn shutter, sensor and finder.
! Camera filters are on but for the times below. If in doubt, camera filter on.
! This sheet is about cameras. For your eyes, local rules and eye-care advice come first.

Contacts
                        time      known to  Sun's height  azimuth
  C1   first bite       09:40:54  3.4 s     25°           85°
  C2   totality begins  10:45:10  3.3 s     38°           95°
  MID  mid-eclipse      10:47:29  2.9 s     38°           95°
  C3   totality ends    10:49:48  4.9 s     39°           96°
  C4   last bite        12:00:46  4.0 s     53°           109°

Camera filters
  rig   camera filter off  frames from  frames until  back on by
  long  10:44:40           10:44:48     10:50:10      10:50:18
  landscape: has none, as a lens of at most 35 mm may, at f/8 or smaller outside totality (common practice, no source)

Hands, and where to point
  from      until     rig   what                 point at
  10:33:10  10:36:09  long  aim again and focus  35.9° high, azimuth 93.4°
  10:58:48  11:01:48  long  aim once more        41.1° high, azimuth 97.6°

Checklist
  [ ] long: 600 mm on, cable in; 666 frames need 16.6 GB on the card, 37 % of a full battery
  [ ] landscape: 24 mm on, cable in; 240 frames need 9.1 GB on the card, 10 % of a full battery
  [ ] long: camera filter on the front of the lens, where wind can't take it and one hand can
  [ ] Cameras on manual exposure and manual focus; stabilisation, auto power off and noise reduction off
  [ ] Focused on the Sun's edge through the filter; focus ring taped
  [ ] The computer's clock is right, its power supply in, its screen shaded
  [ ] Tripods weighted, cables strain-relieved, the plan rehearsed here once
  [ ] After the last filter is back on: nothing packed before C4, cards out first
)");
}

TEST_CASE("filter times are rounded to whole seconds towards the filter on") {
  auto timeline = *demo().timeline;
  auto& window = *timeline.rigs[0].window;
  window.opens = Utc{std::chrono::floor<std::chrono::seconds>(window.opens)} + 1ms;
  window.closes = Utc{std::chrono::floor<std::chrono::seconds>(window.closes)} + 999ms;
  const auto text = to_text(field_sheet(timeline, *demo().plan, {}));
  CHECK(has(text, "  long  08:44:40"));
  CHECK(has(text, "08:50:18\n"));
}

TEST_CASE("a sheet as a page is well-formed, its names are words, and a fixed mount has where to aim") {
  load::PlanSource source{"plan.yaml", {}, built_in_leap_seconds(), {}, timeline::Strictness::plan_check};
  source.text = R"(noonfall: 1
title: <b>Bay & beach</b>
eclipse: 2027-08-02
site: {latitude: 36.0139, longitude: -5.6033, elevation: 12 m}
rigs:
  tele:
    body: {simulate: mirrorless-20}
    lens: {focal_length: 400 mm}
    sensor: {width: 35.9 mm, height: 23.9 mm, pixel: 5.9 um}
    exposure: {aperture: f/8, iso: 200}
    filter: {density: 5.0}
  pocket <3>:
    body: by hand
    lens: {focal_length: 50 mm}
    exposure: {aperture: f/8, iso: 400}
    filter: {density: 5.0}
steps:
  - {name: aim, hands: tele, from: C2 - 6 min, until: C2 - 4 min, aim: MID}
  - {name: prominences, rig: tele, subject: prominences, at: MID}
  - {name: corona, rig: 'pocket <3>', subject: corona 0.5, at: MID}
)";
  const auto loaded = load::load_plan(source);
  REQUIRE_MESSAGE(loaded.timeline, to_text(loaded.findings));
  const auto sheet = field_sheet(*loaded.timeline, *loaded.plan, {});
  const auto page = to_html(sheet);
  CHECK(xml(page).count("html") == 1);
  CHECK_FALSE(has(page, "<b>"));
  CHECK(has(page, "&lt;b&gt;Bay &amp; beach&lt;/b&gt;"));
  CHECK(has(page, "pocket &lt;3&gt;"));
  CHECK(has(page, "Sun in the frame"));
  // At MID the Sun is in the middle; when the hands go off, six minutes before, it comes from the lower left.
  const auto& mid = *loaded.timeline->circumstances.at(contacts::ContactName::mid);
  CHECK(has(page,
            fmt::format("{:.1f}° high, azimuth {:.1f}°", mid.apparent_altitude.value, mid.azimuth.value)));
  CHECK(has(page, " left, "));
  CHECK(has(page, " down"));
  CHECK(has(page, "Settings by hand"));
}

}  // namespace noonfall::cli
