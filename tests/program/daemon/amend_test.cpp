// A plan, site or body that changes while a run is going on.
#include <doctest/doctest.h>

#include <csignal>

#include <fmt/format.h>

#include "tests/program/daemon/field.h"

using namespace noonfall;
using namespace noonfall::tests;

namespace {

/// Shooting has begun, and the daemon has gone to be started again.
void begin_and_end(Field& field) {
  field.begin(field_plan);
  REQUIRE(field.comes_to_fire("land", 2));
  field.daemon.kill(SIGTERM);
  REQUIRE(field.exit() == 0);
}

shotlog::Amendment only_amendment(const Field& field) {
  const auto all = field.all<shotlog::Amendment>();
  REQUIRE(all.size() == 1);
  return all.front();
}

std::string amended(const Field& field, const std::string& plan) {
  return "'" + field.plan(plan) + "' --amend";
}

}  // namespace

TEST_CASE("a changed step is taken with --amend: what is done keeps its word, the rest is planned anew") {
  Field field;
  begin_and_end(field);
  const auto before = field.daemon.log();
  field.daemon.start(
      {field.plan(with(field_plan, "from: 1/1000, to: 1 s", "from: 1/250, to: 1/4")), "--amend"});
  CHECK(field.exit() == 0);
  CHECK(field.broken({before}).empty());
  CHECK(only_amendment(field).why == "the plan was changed");
  const auto amendment = field.daemon.log().find("\"kind\":\"amendment\"");
  CHECK(amendment >= before.size());
  CHECK(field.fired("corona") > 10);
  for (const auto& intent : field.all<shotlog::Intent>()) {
    if (intent.frame.step != "corona") continue;
    if (before.find(fmt::format("\"order\":{},", intent.order)) != std::string::npos) continue;
    CHECK(exposure::nominal_seconds(intent.exposure.shutter) >= 1.0 / 250);
    CHECK(exposure::nominal_seconds(intent.exposure.shutter) <= 1.0 / 4);
  }
}

TEST_CASE("a moved site moves the contacts, and the log has both") {
  Field field;
  begin_and_end(field);
  const auto before = field.daemon.log();
  field.daemon.start({field.plan(with(field_plan, "longitude: -70.5", "longitude: -70.4")), "--amend"});
  CHECK(field.exit() == 0);
  const auto amendment = only_amendment(field);
  CHECK(amendment.why == "the plan was changed, the site was moved");
  const auto old = field.all<shotlog::Header>().front();
  CHECK(amendment.header.site.longitude.value == doctest::Approx(-70.4));
  CHECK(amendment.header.moved == old.moved);
  REQUIRE(amendment.header.contacts.size() == 5);
  // The shadow came from the west: 0.1 degrees farther east it comes some seconds later.
  CHECK(amendment.header.contacts[1].utc > old.contacts[1].utc + std::chrono::seconds{2});
  CHECK(amendment.header.contacts[1].utc < old.contacts[1].utc + std::chrono::seconds{60});
  CHECK(field.daemon.log().starts_with(before));
  CHECK(field.fired("corona") > 10);
}

TEST_CASE("a spare body takes the place of another: its worker is told to quit, a new one serves") {
  Field field;
  begin_and_end(field);
  const auto old_workers = field.daemon.workers();
  field.daemon.start(
      {field.plan(with(field_plan, "simulate: mirrorless-20", "simulate: mirror-24")), "--amend"});
  CHECK(field.comes_to_fire("corona"));
  CHECK(
      field.noted("long: a worker found running serves another body (mirrorless-20, simulated, raw, seed 1, "
                  "detune 1): it is told to quit"));
  const auto workers = field.daemon.workers();
  CHECK(workers.size() == 2);
  CHECK(std::count_if(workers.begin(), workers.end(), [&](pid_t pid) {
          return std::find(old_workers.begin(), old_workers.end(), pid) == old_workers.end();
        }) == 1);
  CHECK(field.exit() == 0);
  const auto amendment = only_amendment(field);
  CHECK(amendment.why == "the plan was changed, the rigs have other bodies");
  CHECK(amendment.header.rigs.front().body == "mirror-24");
  CHECK(field.broken().empty());
}

TEST_CASE("a plan that was changed is refused without --amend, and the old one can be gone on with") {
  Field field;
  begin_and_end(field);
  const auto before = field.daemon.log();
  const auto changed = field.plan(with(field_plan, "every: 6 s", "every: 7 s"));
  const auto refused = field.run("'" + changed + "'");
  CHECK(refused.exit == 1);
  CHECK(refused.out.empty());
  CHECK(refused.err.ends_with("error: " + changed +
                              " is not the plan this run was begun with\n"
                              "  wanted: --amend to go on with it, or no PLAN to go on with the old one\n"));
  CHECK(field.daemon.log() == before);

  field.daemon.start({});
  CHECK(field.exit() == 0);
  CHECK(field.all<shotlog::Amendment>().empty());
  CHECK(field.broken({before}).empty());
}

TEST_CASE("a plan changed to be wrong is refused at its place, and nothing of the run is touched") {
  Field field;
  begin_and_end(field);
  const auto before = field.daemon.log();
  const auto plan = field.file("plan.yaml");
  const auto refused = field.run(amended(field, with(field_plan, "every: 6 s", "evry: 6 s")));
  CHECK(refused.exit == 1);
  CHECK(refused.out.empty());
  const auto path = field.scratch.path("plan.yaml");
  CHECK(refused.err ==
        path +
            ":37:5: error: step \"land\" has neither every nor spread\n"
            "   37 |   - name: land\n"
            "      |     ^\n"
            "  wanted: at; or from and until with every: DURATION, every: back to back or spread: N\n" +
            path +
            ":42:5: error: step \"land\" has no key \"evry\"\n"
            "   42 |     evry: 6 s\n"
            "      |     ^\n"
            "  wanted: every\n");
  CHECK(field.daemon.log() == before);
  CHECK(field.file("plan.yaml") == plan);

  field.daemon.start({});
  CHECK(field.comes_to_fire("corona"));
}

TEST_CASE("a rig taken out of the plan is shot no more") {
  Field field;
  begin_and_end(field);
  auto plan = field_plan;
  const auto rig = plan.find("  wide:\n");
  plan.erase(rig, plan.find("steps:\n") - rig);
  const auto step = plan.find("  - name: land\n");
  plan.erase(step, plan.find("cues:\n") - step);
  const auto land = field.fired("land");
  field.daemon.start({field.plan(plan), "--amend"});
  CHECK(field.comes_to_fire("corona"));
  CHECK(field.fired("land") <= land + 1);
}
