#include "daemon/gphoto/on_cables.h"

#include <algorithm>
#include <chrono>
#include <thread>
#include <utility>

#include "daemon/gphoto/body_description.h"
#include "daemon/gphoto/library.h"
#include "daemon/posix/boot_time.h"
#include "daemon/worker/wait.h"

namespace noonfall::gphoto {
namespace {

using namespace std::chrono_literals;

class WorkerTime final : public PlanTime {
 public:
  WorkerTime(worker::WorkerClock& clock, const worker::StopSignal& stop) : clock_{clock}, stop_{stop} {}

  Utc now() override { return clock_.now(); }
  void wait_until(Utc when) override {
    constexpr Duration slice = 1s;  // the plan's clock may be corrected meanwhile
    while (clock_.now() < when && !stop_.requested())
      worker::wait_until(clock_.boot_at(std::min(when, clock_.now() + slice)), {&stop_.bell()});
  }
  void sleep(Duration span) override { std::this_thread::sleep_for(span); }
  [[nodiscard]] bool stopping() const override { return stop_.requested(); }

 private:
  worker::WorkerClock& clock_;
  const worker::StopSignal& stop_;
};

/// UTC that doesn't jump while a body is measured.
class SteadyTime final : public PlanTime {
 public:
  Utc now() override { return begun_ + (posix::boot_now() - boot_); }
  void wait_until(Utc when) override {
    if (const auto left = when - now(); left > Duration{}) sleep(left);
  }
  void sleep(Duration span) override { std::this_thread::sleep_for(span); }

 private:
  BootTime boot_ = posix::boot_now();
  Utc begun_ = std::chrono::floor<std::chrono::microseconds>(std::chrono::system_clock::now());
};

class CabledAtHand final : public cameras::BodyAtHand {
 public:
  CabledAtHand(const std::string& serial, std::shared_ptr<Cables> cables, std::shared_ptr<PlanTime> time)
      : time_{time}, camera_{CabledSetup{serial, std::nullopt}, std::move(cables), std::move(time)} {}

  rig::Camera& camera() override { return camera_; }
  body::Inspection& inspection() override { return camera_; }
  Utc now() override { return time_->now(); }
  void wait_until(Utc instant) override { time_->wait_until(instant); }

 private:
  std::shared_ptr<PlanTime> time_;
  CabledCamera camera_;
};

class RealBodies final : public cameras::BodySource {
 public:
  Result<cameras::Found> find() override {
    const auto there = cables_->detect();
    if (!there) {
      return fail(error_at({}, "no-search", "the cables can't be searched: " + words_of(there.error()),
                           "libgphoto2 with its port drivers installed (libgphoto2-port12)"));
    }
    cameras::Found found;
    for (const auto& each : *there) look_at(each, found);
    return found;
  }

  Result<std::unique_ptr<cameras::BodyAtHand>> open(const std::string& serial) override {
    auto body = std::make_unique<CabledAtHand>(serial, cables_, time_);
    const auto opened = body->camera().look_after(time_->now(), time_->now());
    if (opened.gone)
      return fail(error_at({}, "no-body", opened.gone->why, "a number that noonfall cameras shows"));
    if (!opened.alarms.empty())
      return fail(error_at({}, "saved-elsewhere", opened.alarms.front(), "a card in the body"));
    return body;
  }

 private:
  void look_at(const ListedBody& where, cameras::Found& found) {
    const auto session = cables_->open(where);
    if (session) return found.bodies.push_back(read_description(**session, where, time_->now()));
    const bool held = session.error().code == result::claimed_elsewhere;
    found.unopened.push_back({where.path, where.model, words_of(session.error()), held});
  }

  std::shared_ptr<Cables> cables_ = camera_library();
  std::shared_ptr<PlanTime> time_ = std::make_shared<SteadyTime>();
};

}  // namespace

std::unique_ptr<CabledCamera> camera_on_cable(CabledSetup setup, worker::WorkerClock& clock,
                                              const worker::StopSignal& stop) {
  return std::make_unique<CabledCamera>(std::move(setup), camera_library(),
                                        std::make_shared<WorkerTime>(clock, stop));
}

std::unique_ptr<cameras::BodySource> bodies_on_cables() {
  return std::make_unique<RealBodies>();
}

}  // namespace noonfall::gphoto
