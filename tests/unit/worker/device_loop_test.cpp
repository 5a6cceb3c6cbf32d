#include "daemon/worker/device_loop.h"

#include <chrono>
#include <stdexcept>

#include <doctest/doctest.h>

#include "daemon/posix/boot_time.h"
#include "lib/body/shipped.h"

namespace noonfall::worker {
namespace {

using namespace std::chrono_literals;

const Utc noon{std::chrono::hours{12}};

/// Told to look after itself it stops everything, and knows how long it was given.
class Looked final : public rig::Camera {
 public:
  explicit Looked(StopSignal& stop) : stop_{stop} {}

  rig::DeviceAnswer answer(const rig::DeviceCall& /*call*/, Utc now) override {
    rig::DeviceAnswer answer;
    answer.at = now;
    return answer;
  }
  rig::Care look_after(Utc now, Utc until) override {
    given = until - now;
    looked_until = until;
    stop_.request();
    return {};
  }

  Duration given{};
  Utc looked_until;

 private:
  StopSignal& stop_;
};

/// What a body without orders is given after the daemon has said this, if anything.
Utc looked_until(std::optional<Utc> next_due, Duration& given) {
  DeviceLine line;
  line.clock.set({posix::boot_now(), noon, 1});
  if (next_due) line.next_due = *next_due;
  Looked camera{line.stop};
  drive(0, body::find_shipped("mirrorless-20").value(), camera, line);
  given = camera.given;
  return camera.looked_until;
}

}  // namespace

TEST_CASE(
    "a body is looked after until what the daemon says is due, and for a moment where that isn't known") {
  Duration given{};
  CHECK(looked_until(noon + 2h, given) == noon + 2h);
  CHECK(looked_until(Utc::max(), given) == Utc::max());
  (void)looked_until(std::nullopt, given);
  CHECK(given == 3s);
  (void)looked_until(noon - 1s, given);  // the order that was due hasn't come
  CHECK(given == 3s);
}

TEST_CASE("what the line's loop throws ends the device's, and is told") {
  DeviceLine line;
  const auto device = [&] { wait_until(std::nullopt, {&line.stop.bell()}); };
  CHECK_THROWS_AS(run_both(line, device, [] { throw std::runtime_error{"no memory"}; }), std::runtime_error);
  CHECK(line.stop.requested());
}

}  // namespace noonfall::worker
