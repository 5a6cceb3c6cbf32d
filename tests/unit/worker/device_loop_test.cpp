#include "daemon/worker/device_loop.h"

#include <chrono>
#include <stdexcept>
#include <thread>

#include <doctest/doctest.h>
#include <fmt/format.h>

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

namespace {

/// Found gone when it is first looked after, and had again by reopening.
class Replugged final : public rig::Camera {
 public:
  explicit Replugged(StopSignal& stop) : stop_{stop} {}

  rig::DeviceAnswer answer(const rig::DeviceCall& call, Utc now) override {
    reopened = reopened || std::holds_alternative<rig::ReopenCall>(call);
    rig::DeviceAnswer answer;
    answer.at = now;
    return answer;
  }
  rig::Care look_after(Utc now, Utc /*until*/) override {
    rig::Care care;
    if (++looks > 1) {
      stop_.request();
    } else {
      care.gone.emplace();
      care.gone->at = now;
    }
    return care;
  }

  int looks = 0;
  bool reopened = false;

 private:
  StopSignal& stop_;
};

}  // namespace

TEST_CASE("a body that was reopened is looked after at once") {
  DeviceLine line;
  line.clock.set({posix::boot_now(), noon, 1});
  Replugged camera{line.stop};
  line.to_device.put({order::Recover{order::Remedy::reopen, noon + 1h}});
  const std::jthread patience{[&](const std::stop_token& over) {
    for (int n = 0; n < 100 && !over.stop_requested(); ++n) std::this_thread::sleep_for(50ms);
    line.stop.request();
  }};
  drive(0, body::find_shipped("mirrorless-20").value(), camera, line);
  CHECK(camera.reopened);
  CHECK(camera.looks == 2);
}

namespace {

/// Takes a frame at once, gives its small picture, and then stops everything.
class Photographed final : public rig::Camera {
 public:
  explicit Photographed(StopSignal& stop) : stop_{stop} {}

  rig::DeviceAnswer answer(const rig::DeviceCall& call, Utc now) override {
    rig::DeviceAnswer answer;
    answer.at = answer.released = now;
    if (const auto* settings = std::get_if<rig::SettingsCall>(&call)) answer.exposure = settings->exposure;
    if (const auto* release = std::get_if<rig::ReleaseCall>(&call)) {
      for (const auto& id : release->frames)
        answer.frames.push_back({now, now + 2ms, true, {fmt::format("NOON{:04}.RAW", id.frame)}});
    }
    return answer;
  }
  rig::Care look_after(Utc now, Utc /*until*/) override {
    if (looks++ > 2) stop_.request();
    rig::Care care;
    care.again = now + 20ms;
    return care;
  }
  std::optional<std::string> preview(const std::string& file, Utc until) override {
    shown.push_back(file);
    free_until = until;
    return "small";
  }

  std::vector<std::string> shown;
  Utc free_until;
  int looks = 0;

 private:
  StopSignal& stop_;
};

/// A set of two, the second the shorter, and what was fetched of it.
std::vector<std::string> fetched(bool may_look, Duration free) {
  DeviceLine line;
  const auto now = noon;
  line.clock.set({posix::boot_now(), now, 1});
  line.may_look = may_look;
  line.next_due = now + free;
  order::Order order;
  order.id = 1;
  order.prepare_from = order.earliest = now;
  for (const int denominator : {250, 1000})
    order.frames.push_back({{0, 0, 1, denominator == 250 ? 1 : 2},
                            {{1, denominator}, exposure::FNumber{80}, {100}},
                            now,
                            now + 20s});
  line.to_device.put({order});
  Photographed camera{line.stop};
  drive(0, body::find_shipped("mirrorless-20").value(), camera, line);
  CHECK(line.previews.take().size() == camera.shown.size());
  if (!camera.shown.empty()) CHECK(camera.free_until == now + free);
  return camera.shown;
}

}  // namespace

TEST_CASE("a set's shortest frame is looked at once, where it may be and nothing is due soon") {
  CHECK(fetched(true, 2h) == std::vector<std::string>{"NOON0002.RAW"});
  CHECK(fetched(false, 2h).empty());
  CHECK(fetched(true, 4s).empty());
}

TEST_CASE("what the line's loop throws ends the device's, and is told") {
  DeviceLine line;
  const auto device = [&] { wait_until(std::nullopt, {&line.stop.bell()}); };
  CHECK_THROWS_AS(run_both(line, device, [] { throw std::runtime_error{"no memory"}; }), std::runtime_error);
  CHECK(line.stop.requested());
}

}  // namespace noonfall::worker
