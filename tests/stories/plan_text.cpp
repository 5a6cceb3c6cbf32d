#include "tests/stories/plan_text.h"

#include <algorithm>
#include <array>
#include <stdexcept>

#include <fmt/format.h>

#include "lib/body/shipped.h"
#include "lib/contacts/circumstances.h"
#include "lib/contacts/elements.h"
#include "lib/plan/parse.h"
#include "lib/timeline/build.h"

namespace noonfall::stories {
namespace {

timeline::Profiles shipped_bodies() {
  timeline::Profiles profiles;
  for (const auto& shipped : body::shipped_profiles())
    profiles[std::string{shipped.name}] = body::find_shipped(shipped.name).value();
  return profiles;
}

std::optional<timeline::Timeline> timeline_of(const std::string& text, timeline::Strictness strictness) {
  static const auto profiles = shipped_bodies();
  const auto plan = plan::parse(text);
  if (!plan) throw std::runtime_error{to_text(plan.error()) + "\n" + text};
  const auto* elements = contacts::find_elements(contacts::built_in_elements(), plan->eclipse);
  if (elements == nullptr) throw std::runtime_error{"no such eclipse"};
  const auto sky =
      contacts::circumstances(*elements, {plan->site.latitude, plan->site.longitude, plan->site.elevation});
  return timeline::build(*plan, sky, profiles, {}, strictness).timeline;
}

std::string site_of(const Place& place) {
  return fmt::format("site: {{latitude: {:.4f}, longitude: {:.4f}, elevation: 50 m}}", place.latitude,
                     place.longitude);
}

std::string body_of(Chance& chance) {
  return chance.percent(50) ? "{simulate: mirrorless-20}" : "{simulate: mirror-24}";
}

std::string filtered_rig(Chance& chance, const std::string& name, const std::string& body) {
  return fmt::format(R"(  {}:
    body: {}
    lens: {{focal_length: {} mm}}
    mount: tracking
    exposure: {{aperture: f/8, iso: {}}}
    filter: {{density: 5.0, opens: C2 - {} s, closes: C3 + {} s, handling: {} s}}
)",
                     name, body, chance.percent(50) ? 600 : 400, chance.percent(50) ? 200 : 400,
                     25 + chance.below(21), 25 + chance.below(21), 5 + chance.below(6));
}

std::string crescents(Chance& chance, const std::string& rig) {
  const auto every = std::array{5, 10, 20, 45}[static_cast<std::size_t>(chance.below(4))];
  auto text = fmt::format(
      "  - {{name: crescent in {0}, rig: {0}, subject: photosphere, from: C2 - {1} min, until: C2 - {2} s, "
      "every: {3} s{4}{5}}}\n",
      rig, 2 + chance.below(8), 50 + chance.below(30), every,
      chance.percent(40) ? ", bracket: {frames: 3, by: 1 stop}" : "",
      chance.percent(30) ? fmt::format(", patience: {} s", 1 + chance.below(20)) : "");
  if (chance.percent(85))
    text += fmt::format("  - {{name: crescent out {0}, mirror: crescent in {0}}}\n", rig);
  return text;
}

std::string beads(Chance& chance, const std::string& rig) {
  auto text = fmt::format(
      "  - {{name: beads in {0}, rig: {0}, subject: beads, from: C2 - {1} s, until: C2 + 2 s, "
      "every: back to back{2}, exposure: {{shutter: 1/2000, iso: 200}}}}\n",
      rig, 4 + chance.below(6), chance.percent(75) ? ", drive: continuous" : "");
  if (chance.percent(75)) text += fmt::format("  - {{name: beads out {0}, mirror: beads in {0}}}\n", rig);
  return text;
}

std::string corona(Chance& chance, const std::string& rig) {
  static const std::vector<std::string> paces{
      "every: back to back, bracket: {from: 1/2000, to: 2 s, by: 2 stops}",
      "every: back to back, bracket: {from: 1/500, to: 1 s, by: 3 stops}, unfinished: drop",
      "every: back to back, sets: [{shutter: 1/500}, {shutter: 1/30}, {shutter: 1 s}]",
      "every: 15 s, bracket: {frames: 3, by: 2 stops}, patience: 4 s",
      "every: back to back, exposure: {shutter: 20 s, iso: 100}",
      "every: 25 s, exposure: {shutter: 20 s, iso: 100}, patience: 3 s",
      "every: back to back, exposure: {shutter: 4 s}",
      "spread: 5, exposure: {shutter: 1/4}",
  };
  return fmt::format(
      "  - {{name: corona {0}, rig: {0}, subject: corona 0.1 to 4, from: C2 + {1} s, until: C3 - {2} s, "
      "{3}}}\n",
      rig, 8 + chance.below(4), 3 + chance.below(10), chance.one_of(paces));
}

/// Up to the filter's edge, where a shutter that closes late would be outside.
std::string diamond(Chance& chance, const std::string& rig) {
  static const std::vector<std::string> paces{
      "every: back to back, bracket: {from: 1/1000, to: 1/60, by: 2 stops}",
      "every: 2 s, exposure: {shutter: 1/500}", "every: back to back, exposure: {shutter: 1/4}"};
  return fmt::format(
      "  - {{name: diamond {0}, rig: {0}, subject: diamond ring, from: C3 + {1} s, until: C3 + {2} s, "
      "{3}}}\n",
      rig, 9 + chance.below(3), 14 + chance.below(3), chance.one_of(paces));
}

std::string unfiltered_steps(Chance& chance, const std::string& rig) {
  std::string text;
  if (chance.percent(70)) text += beads(chance, rig);
  if (chance.percent(40))
    text += fmt::format(
        "  - {{name: prominences {0}, rig: {0}, subject: prominences, from: C2 + 4 s, until: C2 + 5500 ms, "
        "spread: 2}}\n",
        rig);
  if (chance.percent(40)) text += diamond(chance, rig);
  return text + corona(chance, rig);
}

}  // namespace

/// Points on the central paths (NASA's path tables for these eclipses, to the hundredth of a degree or so; a
/// story only needs totality there).
Place any_place(Chance& chance) {
  static const std::vector<Place> places{
      {"2027-08-02", 36.0139, -5.6033}, {"2027-08-02", 25.70, 32.64},   {"2026-08-12", 42.35, -3.69},
      {"2024-04-08", 23.20, -106.42},   {"2028-07-22", -33.87, 151.20}, {"2017-08-21", 36.97, -87.67},
      {"2019-07-02", -30.00, -70.70},
  };
  return chance.one_of(places);
}

std::string any_plan(Chance& chance, const Place& place, const Cast& cast) {
  const int second = static_cast<int>(chance.below(5));  // 0, 1: none
  std::string rigs;
  std::string steps;
  if (cast.long_rig) {
    rigs += filtered_rig(chance, "long", body_of(chance));
    steps += crescents(chance, "long");
    if (cast.unfiltered) steps += unfiltered_steps(chance, "long");
  }
  if (second == 2 || !cast.long_rig) {
    rigs += filtered_rig(chance, "short", body_of(chance));
    steps += crescents(chance, "short");
    if (cast.unfiltered) steps += unfiltered_steps(chance, "short");
  }
  if (second == 3) {
    rigs += filtered_rig(chance, "held", "by hand");
    steps +=
        "  - {name: corona held, rig: held, subject: corona 0.1 to 4, at: MID, exposure: {shutter: 1/2}}\n";
  }
  if (second == 4) {
    rigs += fmt::format(
        "  wide:\n    body: {}\n    lens: {{focal_length: 24 mm}}\n    mount: fixed\n"
        "    exposure: {{aperture: f/8, iso: 400}}\n    filter: none\n",
        body_of(chance));
    steps +=
        "  - {name: shadow, rig: wide, subject: landscape, from: C2 - 3 min, until: C3 + 2 min, every: 10 s, "
        "exposure: {shutter: 1/125}}\n";
  }
  return fmt::format(
      "noonfall: 1\ntitle: Story\neclipse: {}\n{}\nrigs:\n{}steps:\n{}cues:\n  - {{at: MID, say: Halfway}}\n",
      place.eclipse, site_of(place), rigs, steps);
}

std::string at_place(std::string plan_text, const Place& before, const Place& after) {
  const auto site = site_of(before);
  return plan_text.replace(plan_text.find(site), site.size(), site_of(after));
}

std::optional<timeline::Timeline> timeline_before_the_day(const std::string& plan_text) {
  if (!timeline_of(plan_text, timeline::Strictness::plan_check)) return std::nullopt;
  return timeline_on_the_day(plan_text);
}

std::optional<timeline::Timeline> timeline_on_the_day(const std::string& plan_text) {
  return timeline_of(plan_text, timeline::Strictness::on_the_day);
}

}  // namespace noonfall::stories
