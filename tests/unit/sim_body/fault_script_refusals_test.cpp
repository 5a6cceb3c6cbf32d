#include <doctest/doctest.h>

#include <string>

#include "sim/body/fault_script.h"

namespace noonfall::sim {
namespace {

const std::string head = "noonfall_faults: 1\nfaults:\n";

std::string refusal(const std::string& text) {
  auto script = parse_fault_script(text);
  REQUIRE_FALSE(script);
  attach_source(script.error(), "faults.yaml", text);
  return to_text(script.error());
}

}  // namespace

TEST_CASE("every error of a script is told with its place and a remedy") {
  CHECK(refusal("noonfall_faults: 2\n"
                "faults:\n"
                "  - {rig: long, fault: bussy, from: C2, for: 3 s}\n"
                "  - {rig: long, fault: gone, from: C5, count: 3}\n"
                "  - {rig: long, fault: busy, from: C2}\n"
                "  - {rig: long, fault: busy, from: C2, for: 30, cuont: 1}\n"
                "  - {rig: long, fault: busy, from: C2, for: 3 s, count: 1}\n"
                "  - {fault: slow card, rate: 0 %, from: C2, for: 30 h}\n"
                "fautls: []\n") == R"(faults.yaml:1:18: error: noonfall_faults: "2" is out of range
    1 | noonfall_faults: 2
      |                  ^
  wanted: noonfall_faults: 1, the only version there is
faults.yaml:3:24: error: fault: "bussy" isn't known
    3 |   - {rig: long, fault: bussy, from: C2, for: 3 s}
      |                        ^
  wanted: busy
faults.yaml:4:36: error: from: "C5" doesn't start with a contact
    4 |   - {rig: long, fault: gone, from: C5, count: 3}
      |                                    ^
  wanted: an instant like C2 - 8 s, MID + 10 % of totality or 2027-08-02T08:45:00Z
faults.yaml:4:47: error: count: this fault lasts, it doesn't come one by one
    4 |   - {rig: long, fault: gone, from: C5, count: 3}
      |                                               ^
  wanted: `for`: how long, a duration like 10 s, from 1 ms to 24 h
faults.yaml:5:5: error: a fault has no "for" and no "count"
    5 |   - {rig: long, fault: busy, from: C2}
      |     ^
  wanted: `for`: how long, a duration like 10 s, from 1 ms to 24 h; or `count`: how often, a whole number from 1 to 1000
faults.yaml:6:45: error: for: "30" is a bare number
    6 |   - {rig: long, fault: busy, from: C2, for: 30, cuont: 1}
      |                                             ^
  wanted: how long, a duration like 10 s, from 1 ms to 24 h
faults.yaml:6:49: error: a fault has no key "cuont"
    6 |   - {rig: long, fault: busy, from: C2, for: 30, cuont: 1}
      |                                                 ^
  wanted: count
faults.yaml:7:57: error: count: `for` stands here too
    7 |   - {rig: long, fault: busy, from: C2, for: 3 s, count: 1}
      |                                                         ^
  wanted: either `for` or `count`
faults.yaml:8:5: error: a fault has no "rig"
    8 |   - {fault: slow card, rate: 0 %, from: C2, for: 30 h}
      |     ^
  wanted: the key "rig"
faults.yaml:8:30: error: rate: "0 %" is out of range
    8 |   - {fault: slow card, rate: 0 %, from: C2, for: 30 h}
      |                              ^
  wanted: what is left of the write rate, 0.1 % to 100 %
faults.yaml:8:50: error: for: 30 h is out of range
    8 |   - {fault: slow card, rate: 0 %, from: C2, for: 30 h}
      |                                                  ^
  wanted: how long, a duration like 10 s, from 1 ms to 24 h
faults.yaml:9:1: error: the fault script has no key "fautls"
    9 | fautls: []
      | ^
  wanted: faults
)");
}

TEST_CASE("a setting that names no value, or several, is told what is wanted") {
  CHECK(
      refusal(
          head +
          "  - {rig: long, fault: refused setting, setting: {iso: 400, drive: single}, from: C2, count: 1}\n"
          "  - {rig: long, fault: refused setting, setting: {}, from: C2, count: 1}\n"
          "  - {rig: long, fault: refused setting, setting: [iso], from: C2, count: 1}\n"
          "  - {rig: long, fault: refused setting, setting: isso, from: C2, count: 1}\n"
          "  - {rig: long, fault: refused setting, setting: {shutter: 2}, from: C2, count: 1}\n"
          "  - {rig: long, fault: refused setting, from: C2, count: 1}\n"
          "  - {rig: long, fault: lost frame, answer: none, from: C2, count: 1}\n") ==
      R"(faults.yaml:3:50: error: setting: more than one value here
    3 |   - {rig: long, fault: refused setting, setting: {iso: 400, drive: single}, from: C2, count: 1}
      |                                                  ^
  wanted: one of shutter, aperture, iso, drive, or one value of it, like {shutter: 1/2000} or {drive: continuous}
faults.yaml:4:50: error: setting: no value here
    4 |   - {rig: long, fault: refused setting, setting: {}, from: C2, count: 1}
      |                                                  ^
  wanted: one of shutter, aperture, iso, drive, or one value of it, like {shutter: 1/2000} or {drive: continuous}
faults.yaml:5:50: error: setting: a list here
    5 |   - {rig: long, fault: refused setting, setting: [iso], from: C2, count: 1}
      |                                                  ^
  wanted: one of shutter, aperture, iso, drive, or one value of it, like {shutter: 1/2000} or {drive: continuous}
faults.yaml:6:50: error: setting: "isso" isn't known
    6 |   - {rig: long, fault: refused setting, setting: isso, from: C2, count: 1}
      |                                                  ^
  wanted: iso
faults.yaml:7:60: error: shutter: "2" is a bare number
    7 |   - {rig: long, fault: refused setting, setting: {shutter: 2}, from: C2, count: 1}
      |                                                            ^
  wanted: a shutter time like 1/2000 or 2 s
faults.yaml:8:5: error: a fault has no "setting"
    8 |   - {rig: long, fault: refused setting, from: C2, count: 1}
      |     ^
  wanted: the key "setting"
faults.yaml:9:44: error: answer: "none" isn't known
    9 |   - {rig: long, fault: lost frame, answer: none, from: C2, count: 1}
      |                                            ^
  wanted: one of unconfirmed, no word
)");
}

TEST_CASE("an empty script asks for a fault") {
  CHECK(refusal("noonfall_faults: 1\nfaults: []\n") == R"(faults.yaml:2:9: error: faults: an empty list here
    2 | faults: []
      |         ^
  wanted: a list of faults, at least one
)");
}

}  // namespace noonfall::sim
