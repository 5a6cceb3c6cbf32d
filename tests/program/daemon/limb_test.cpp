// A run begun by contacts with the Moon's edge, and the daemon that goes on with it where the heights are
// gone.
#include <doctest/doctest.h>

#include <csignal>

#include "lib/limb/strip.h"
#include "tests/program/daemon/field.h"
#include "tests/unit/limb/strips.h"

using namespace noonfall;
using namespace noonfall::tests;

TEST_CASE("a restart keeps the log's contacts, limb and solar radius though the limb data are gone") {
  Field field;
  // a Moon so large that totality is seconds longer than a smooth one's
  const auto strip = field.scratch.file("made-up.llb", limb::to_bytes(smooth_strip(1739)));
  field.begin(field_plan, {"--limb-data", strip});
  REQUIRE(field.comes_to_fire("land", 3));
  field.daemon.kill(SIGKILL);
  (void)field.exit();
  std::filesystem::remove(strip);
  field.daemon.start({});
  CHECK(field.exit() == 0);
  CHECK(field.broken().empty());

  const auto headers = field.all<shotlog::Header>();
  REQUIRE(headers.size() == 1);
  CHECK(headers[0].limb == "profile");
  CHECK(headers[0].solar_radius_arcsec == 959.95);
  // Every frame of "land" is due a whole number of its paces after the first, before the restart and after
  // it.
  const auto intents = field.all<shotlog::Intent>();
  std::vector<Utc> due;
  for (const auto& intent : intents) {
    if (intent.frame.step == "land") due.push_back(intent.due);
  }
  REQUIRE(due.size() > 10);
  const auto pace = due[1] - due[0];
  for (const auto instant : due) CHECK((instant - due[0]) % pace == Duration{});
}

TEST_CASE("a run isn't begun with limb data that are damaged") {
  Field field;
  auto bytes = limb::to_bytes(smooth_strip(1737.4));
  bytes.pop_back();
  const auto strip = field.scratch.file("damaged.llb", bytes);
  const auto ran = field.run(field.plan(field_plan) + " --simulate --move C2=+90s --limb-data " + strip);
  CHECK(ran.exit == 1);
  CHECK(ran.err.find(strip + ": error: the strip has 43199 bytes of heights, its header says 43200") !=
        std::string::npos);
}
