#include <doctest/doctest.h>

#include "daemon/start/refusals.h"
#include "lib/plan/parse.h"

using namespace noonfall;

namespace {

/// The codes of what is refused about two rigs with these bodies.
std::string refused(const std::string& one, const std::string& other) {
  const auto rig = [](const std::string& body) {
    return "{body: " + body + ", lens: {focal_length: 600 mm}, filter: {density: 5.0}}\n";
  };
  const auto plan = plan::parse(
      "noonfall: 1\neclipse: 2027-08-02\n"
      "site: {latitude: 36.0, longitude: -5.6, elevation: 12 m}\nrigs:\n  long: " +
      rig(one) + "  wide: " + rig(other) +
      "steps:\n  - {name: a, rig: long, subject: photosphere, at: C1, exposure: {shutter: 1/500}}\n");
  REQUIRE(plan);
  const auto checked = start::check_bodies(*plan, start::OnCables::driven);
  std::string codes;
  if (!checked)
    for (const auto& finding : checked.error().why) codes += finding.code + " ";
  return codes;
}

}  // namespace

TEST_CASE("on the day a body and a spare are one rig's alone") {
  CHECK(refused("{serial: a, profile: p, spare: c}", "{serial: b, profile: p, spare: d}").empty());
  CHECK(refused("{serial: a, profile: p}", "{serial: a, profile: p}") == "same-serial ");
  CHECK(refused("{serial: a, profile: p, spare: b}", "{serial: b, profile: p}") == "spare-not-free ");
  CHECK(refused("{serial: a, profile: p, spare: c}", "{serial: b, profile: p, spare: c}") ==
        "spare-not-free ");
}
