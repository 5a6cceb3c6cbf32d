#include "lib/plan/print.h"

#include <doctest/doctest.h>

#include "tests/unit/plan/plan_text.h"

namespace noonfall::plan {

TEST_CASE("a plan is printed in one canonical way") {
  const auto plan = parse(example);
  REQUIRE(plan);
  CHECK(print(*plan) == R"(noonfall: 1
title: "Breakwater, two rigs"
eclipse: 2027-08-02
site: {latitude: 36.0139, longitude: -5.6033, elevation: 12 m, zone: Europe/Madrid}
earth: {dut1: 50 ms}

rigs:
  long:
    body: {simulate: mirrorless-20}
    lens: {focal_length: 600 mm}
    sensor: {width: 35.9 mm, height: 23.9 mm, pixel: 5.9 um}
    mount: fixed
    exposure: {aperture: f/8, iso: 400}
    files: raw
    filter: {density: 5, opens: C2 - 30 s, closes: C3 + 30 s, handling: 8 s}

steps:
  - name: crescent in
    rig: long
    subject: photosphere
    from: C1 + 10 s
    until: C2 - 1 min
    every: 5 min
    bracket: {frames: 3, by: 1 stop}
  - name: aim again
    hands: long
    from: C2 - 12 min
    until: C2 - 10 min
  - name: beads in
    rig: long
    subject: beads
    from: C2 - 8 s
    until: C2 + 2 s
    every: back to back
    drive: continuous
    exposure: {shutter: 1/2000, iso: 200}
  - name: corona
    rig: long
    subject: corona 0.1 to 4
    from: C2 + 6 s
    until: C3 - 12 s
    every: back to back
    bracket: {from: 1/2000, to: 2 s, by: 2 stops}
    unfinished: drop
    leave_free: 12 frames
    only_if: totality >= 1 min
  - name: beads out
    mirror: beads in

cues:
  - {at: C2 - 5 min, say: Hands needed at long in five minutes}
  - {at: MID, say: Halfway}
)");
}

}  // namespace noonfall::plan
