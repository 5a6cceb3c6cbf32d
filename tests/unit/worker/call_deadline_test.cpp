// A deadline that comes before the body could have answered kills a healthy worker in mid-eclipse: each one
// is held against what a simulated body really takes.
#include "daemon/worker/call_deadline.h"

#include <doctest/doctest.h>

#include "lib/body/shipped.h"
#include "sim/body/simulated_body.h"

namespace noonfall::worker {
namespace {

using namespace std::chrono_literals;

constexpr Utc noon{std::chrono::sys_days{std::chrono::year{2027} / 8 / 2} + 12h};

/// A body slower than its profile, as far as a profile is trusted to be off.
struct SlowBody {
  body::Profile profile;
  sim::SimulatedBody body{{profile, body::Files::raw_and_jpeg, 1, 1.3, {}}};
  rig::SettingsCall settings{};
  Utc now = noon;

  /// How much sooner than its deadline the answer came.
  Duration to_spare(const rig::DeviceCall& call) {
    if (const auto* asked = std::get_if<rig::SettingsCall>(&call)) settings = *asked;
    const auto deadline = call_deadline(call, settings, profile, now);
    const auto answer = body.answer(call, now);
    CHECK(answer.answer == rig::Answer::ok);
    now = answer.at;
    return deadline - answer.at;
  }
};

rig::ReleaseCall frames(int count, Utc stop_by) {
  rig::ReleaseCall call{{}, stop_by};
  for (int n = 1; n <= count; ++n) call.frames.push_back({0, 0, 1, n});
  return call;
}

}  // namespace

TEST_CASE("every answer of a slow body comes well before its deadline") {
  for (const auto& shipped : body::shipped_profiles()) {
    CAPTURE(shipped.name);
    SlowBody slow{*body::find_shipped(shipped.name)};
    const exposure::Exposure longest{{30, 1}, exposure::FNumber{80}, {400}};
    CHECK(slow.to_spare(rig::SettingsCall{longest, body::Drive::single}) > 5s);
    CHECK(slow.to_spare(frames(1, noon + 1h)) > 5s);
    CHECK(slow.to_spare(rig::DrainCall{}) > 5s);
    CHECK(slow.to_spare(rig::ReopenCall{}) > 5s);
    const exposure::Exposure quick{{1, 2000}, exposure::FNumber{80}, {400}};
    CHECK(slow.to_spare(rig::SettingsCall{quick, body::Drive::continuous}) > 5s);
    CHECK(slow.to_spare(frames(400, slow.now + 120s)) > 5s);  // waits for room in the buffer
  }
}

TEST_CASE("a deadline comes within half a minute of what the call can take") {
  const auto profile = *body::find_shipped("mirrorless-20");
  const rig::SettingsCall quick{{{1, 500}, exposure::FNumber{80}, {400}}, body::Drive::single};
  CHECK(call_deadline(quick, quick, profile, noon) <= noon + 30s);
  CHECK(call_deadline(frames(1, noon + 1h), quick, profile, noon) <= noon + 30s);
  CHECK(call_deadline(rig::ReopenCall{}, quick, profile, noon) <= noon + 30s);
}

}  // namespace noonfall::worker
