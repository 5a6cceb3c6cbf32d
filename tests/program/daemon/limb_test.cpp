// A run begun by contacts with the Moon's edge, and the daemon that goes on with it where the heights are
// gone.
#include <doctest/doctest.h>

#include <cmath>
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

namespace {

/// Shoots until the first landscapes are there, and ends the daemon.
void begin_and_end(Field& field, const std::string& strip) {
  field.begin(field_plan, {"--limb-data", strip});
  REQUIRE(field.comes_to_fire("land", 2));
  field.daemon.kill(SIGTERM);
  REQUIRE(field.exit() == 0);
}

const std::string amended_plan = with(field_plan, "longitude: -70.5", "longitude: -70.49");

}  // namespace

TEST_CASE("an amended run keeps the Moon's edge it was begun with") {
  Field field;
  begin_and_end(field, field.scratch.file("made-up.llb", limb::to_bytes(smooth_strip(1739))));
  field.daemon.start({field.plan(amended_plan), "--amend"});
  CHECK(field.exit() == 0);
  const auto amendments = field.all<shotlog::Amendment>();
  REQUIRE(amendments.size() == 1);
  CHECK(amendments[0].header.limb == "profile");
  CHECK(amendments[0].header.solar_radius_arcsec == 959.95);
  const auto lasts = [](const shotlog::Header& header) {
    return in_seconds(header.contacts[3].utc - header.contacts[1].utc);
  };
  // a kilometre along the path; a Moon of k2 is 2.3 km smaller, and totality seconds shorter
  CHECK(std::abs(lasts(amendments[0].header) - lasts(field.all<shotlog::Header>()[0])) < 0.5);
}

TEST_CASE("an amendment of a run whose limb data are gone is refused until another edge is named") {
  Field field;
  const auto strip = field.scratch.file("made-up.llb", limb::to_bytes(smooth_strip(1739)));
  begin_and_end(field, strip);
  std::filesystem::remove(strip);
  const auto amend = field.plan(amended_plan) + " --amend";
  const auto refused = field.run(amend);
  CHECK(refused.exit == 3);
  CHECK(refused.err.find(strip) != std::string::npos);
  CHECK(field.all<shotlog::Amendment>().empty());
  field.daemon.start({field.plan(amended_plan), "--amend", "--limb", "mean"});
  CHECK(field.exit() == 0);
  REQUIRE(field.all<shotlog::Amendment>().size() == 1);
  CHECK(field.all<shotlog::Amendment>()[0].header.limb == "mean");
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
