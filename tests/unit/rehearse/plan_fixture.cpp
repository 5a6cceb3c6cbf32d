#include "tests/unit/rehearse/plan_fixture.h"

#include <set>
#include <stdexcept>

#include "lib/body/shipped.h"
#include "lib/contacts/circumstances.h"
#include "lib/contacts/elements.h"
#include "lib/plan/parse.h"
#include "lib/timeline/build.h"
#include "sim/body/fault_script.h"

namespace noonfall::sim {

const std::string two_minute_drill = R"(noonfall: 1
title: Headland
eclipse: 2027-08-02
site: {latitude: 36.0139, longitude: -5.6033, elevation: 12 m}
rigs:
  long:
    body: {simulate: mirrorless-20}
    lens: {focal_length: 600 mm}
    mount: tracking
    exposure: {aperture: f/8, iso: 400}
    filter: {density: 5.0}
steps:
  - {name: crescent in, rig: long, subject: photosphere, from: C2 - 20 min, until: C2 - 60 s, every: 1 min,
     bracket: {frames: 3, by: 1 stop}}
  - {name: beads in, rig: long, subject: beads, from: C2 - 8 s, until: C2 + 2 s, every: back to back,
     drive: continuous, exposure: {shutter: 1/2000, iso: 200}}
  - {name: prominences, rig: long, subject: prominences, from: C2 + 4 s, until: C2 + 5500 ms, spread: 2}
  - {name: corona, rig: long, subject: corona 0.1 to 4, from: C2 + 8 s, until: C3 - 12 s, every: back to back,
     bracket: {from: 1/2000, to: 2 s, by: 2 stops}}
  - {name: beads out, mirror: beads in}
  - {name: crescent out, mirror: crescent in}
cues:
  - {at: MID, say: Halfway}
)";

timeline::Timeline timeline_of(const std::string& plan_text) {
  const auto plan = plan::parse(plan_text);
  if (!plan) throw std::runtime_error{to_text(plan.error())};
  timeline::Profiles profiles;
  for (const auto& shipped : body::shipped_profiles()) {
    profiles[std::string{shipped.name}] = body::find_shipped(shipped.name).value();
  }
  const auto table = contacts::built_in_elements();
  const auto* elements = contacts::find_elements(table, plan->eclipse);
  if (elements == nullptr) throw std::runtime_error{"no such eclipse"};
  const auto sky =
      contacts::circumstances(*elements, {plan->site.latitude, plan->site.longitude, plan->site.elevation});
  auto built = timeline::build(*plan, sky, profiles);
  if (!built.timeline) throw std::runtime_error{to_text(built.findings)};
  return std::move(*built.timeline);
}

RehearsalSetup setup_of(const std::string& plan_text, const std::string& fault_script) {
  RehearsalSetup setup;
  setup.timeline = timeline_of(plan_text);
  setup.facts.plan_hash = std::string(64, '0');
  if (fault_script.empty()) return setup;
  std::vector<std::string> rigs;
  for (const auto& rig : setup.timeline.rigs) rigs.push_back(rig.name);
  const auto script = parse_fault_script(fault_script);
  if (!script) throw std::runtime_error{to_text(script.error())};
  setup.faults = resolve_faults(*script, setup.timeline.circumstances, rigs).value();
  return setup;
}

Counts count(const Rehearsed& rehearsed) {
  Counts counts;
  std::set<shotlog::FrameName> intended;
  for (const auto& line : rehearsed.lines) {
    if (const auto* intent = std::get_if<shotlog::Intent>(&line.entry)) {
      ++counts.intents;
      intended.insert(intent->frame);
    }
    if (const auto* outcome = std::get_if<shotlog::FrameOutcome>(&line.entry)) {
      counts.fired += outcome->result == order::Outcome::fired;
      counts.failed += outcome->result == order::Outcome::failed;
      counts.unknown += outcome->result == order::Outcome::unknown;
      counts.cancelled += outcome->result == order::Outcome::cancelled;
    }
    const auto* skip = std::get_if<shotlog::Skip>(&line.entry);
    if (skip != nullptr && skip->frame.set > 0) {
      ++(intended.count(skip->frame) > 0 ? counts.skipped_of_intended : counts.skipped_unintended);
    }
  }
  return counts;
}

}  // namespace noonfall::sim
