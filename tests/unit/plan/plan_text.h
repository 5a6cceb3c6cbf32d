// Plan texts to start from, and what parse says about them.
#pragma once

#include <sstream>
#include <string>

#include "lib/plan/parse.h"

namespace noonfall::plan {

/// The example of the format: every kind of step, and the usual keys.
inline const std::string example = R"(noonfall: 1
title: Breakwater, two rigs
eclipse: 2027-08-02
site: {latitude: 36.0139, longitude: -5.6033, elevation: 12 m, zone: Europe/Madrid}
earth: {dut1: 0.05 s}

rigs:
  long:
    body: {simulate: mirrorless-20}
    lens: {focal_length: 600 mm}
    sensor: {width: 35.9 mm, height: 23.9 mm, pixel: 5.9 um}
    mount: fixed
    exposure: {aperture: f/8, iso: 400}
    files: raw
    filter: {density: 5.0, opens: C2 - 30 s, closes: C3 + 30 s, handling: 8 s}

steps:
  - name: crescent in
    rig: long
    subject: photosphere
    from: C1 + 10 s
    until: C2 - 60 s
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
    only_if: totality >= 60 s
  - name: beads out
    mirror: beads in

cues:
  - {at: C2 - 5 min, say: Hands needed at long in five minutes}
  - {at: MID, say: Halfway}
)";

/// A small plan: its header, one rig with `rig_lines` (each indented by four), and `steps`.
inline std::string small_plan(const std::string& rig_lines, const std::string& steps) {
  return "noonfall: 1\neclipse: 2027-08-02\nsite: {latitude: 36, longitude: -5.6, elevation: 12 m}\nrigs:\n  "
         "long:\n" +
         rig_lines + "steps:\n" + steps;
}

inline const std::string plain_rig =
    "    body: by hand\n    lens: {focal_length: 600 mm}\n    filter: none\n";
inline const std::string plain_step = "  - {name: a, rig: long, subject: beads, at: C2}\n";

/// The small plan with this line in place of the step; the step is in line 10.
inline std::string with_step(const std::string& step) {
  return small_plan(plain_rig, "  - " + step + "\n");
}
/// The small plan with its rig's keys in braces; they are in line 5.
inline std::string with_rig(const std::string& keys) {
  return "noonfall: 1\neclipse: 2027-08-02\nsite: {latitude: 36, longitude: -5.6, elevation: 12 m}\nrigs:\n  "
         "long: {" +
         keys + "}\nsteps:\n" + plain_step;
}

/// The small plan with this line in place of its line with the same key, or without that line when it ends in
/// "-".
inline std::string with_top_line(const std::string& line) {
  const auto key = line.substr(0, line.find(':'));
  std::string out;
  bool replaced = false;
  bool inside = false;  // the replaced line's own lines, which go with it
  std::istringstream lines{with_rig("body: by hand, lens: {focal_length: 600 mm}, filter: none")};
  for (std::string each; std::getline(lines, each);) {
    const bool same = each.starts_with(key + ":");
    inside = same || (inside && each.starts_with(' '));
    replaced = replaced || same;
    if (!inside) out += each + "\n";
    if (same && !line.ends_with(":-")) out += line + "\n";
  }
  return replaced ? out : out + line + "\n";
}

inline std::string errors_of(const std::string& text) {
  const auto plan = parse(text);
  if (plan) return "no errors\n";
  auto findings = plan.error();
  attach_source(findings, "plan.yaml", text);
  return to_text(findings);
}

}  // namespace noonfall::plan
