// A body that isn't ours: upstream's virtual camera, as tests/wire/upstream_body.sh builds it (./dev test
// runs that).
#include <filesystem>
#include <iostream>
#include <set>

#include <doctest/doctest.h>

#include "daemon/gphoto/on_cables.h"
#include "tests/address_sanitizer.h"
#include "tests/source_folder.h"
#include "tests/wire/contract_cases.h"
#include "tests/wire/run_on_bodies.h"

using namespace noonfall;
using namespace noonfall::tests;

namespace {

// A program that isn't built with a sanitizer can't load a driver that is, nor the other way round.
#if defined(NOONFALL_ADDRESS_SANITIZER) || defined(__SANITIZE_THREAD__)
constexpr bool driver_fits = false;
#else
constexpr bool driver_fits = true;
#endif

/// The folder of its driver, by kind; empty where it wasn't built.
std::string driver_of(const std::string& kind) {
  const auto folder = std::string{NOONFALL_SOURCE} + "/build/upstream-body/" + kind;
  if (driver_fits && std::filesystem::exists(folder)) return folder;
  std::cout << "SKIPPED: no virtual camera of libgphoto2's source package in " << folder << '\n';
  return {};
}

class Upstream final : public ContractBody {
 public:
  explicit Upstream(const std::string& driver) : usb_{driver} {}
  [[nodiscard]] std::vector<sim::RecordedFrame> taken() const override { return {}; }

 protected:
  rig::Camera& camera() override { return *camera_; }

 private:
  Usb usb_;
  std::unique_ptr<rig::Camera> camera_ =
      gphoto::camera_on_cable({"0.1", contract_profile(), body::Files::jpeg}, clock_, stop_);
};

/// It has these times, and no ISO that could be set.
BodyKind upstream(const std::string& driver) {
  return {"upstream",
          [driver](const auto&) { return std::make_unique<Upstream>(driver); },
          {{1, 400}, exposure::FNumber{80}, {400}},
          {{1, 50}, exposure::FNumber{56}, {400}}};
}

}  // namespace

TEST_CASE("a body that isn't ours is listed with what it is and has, as generic and as a named model") {
  for (const auto& [kind, words] :
       {std::pair{"generic", "0.1  USB PTP Class Camera, family generic, at usb:001,001\n"},
        {"named", "0.1  Nikon DSC D750, family a, at usb:001,001\n"}}) {
    const auto driver = driver_of(kind);
    if (driver.empty()) return;
    const Usb usb{driver};
    const auto ran = run_program(NOONFALL_PROGRAM, "cameras");
    INFO(ran.err);
    CHECK(ran.out.starts_with(words));
    CHECK(ran.out.find("  battery 50 %, card 0.6 of 1.1 GB free") != std::string::npos);
    CHECK(ran.out.find("  1/10000 to 1 s, f/2.8 to f/22\n") != std::string::npos);
  }
}

TEST_CASE("a body that isn't ours keeps the contract, fresh") {
  const auto driver = driver_of("generic");
  if (!driver.empty()) check_fresh_body(upstream(driver));
}

TEST_CASE("a body that isn't ours keeps the contract, in the middle of things") {
  const auto driver = driver_of("generic");
  if (!driver.empty()) check_busy_body(upstream(driver));
}

TEST_CASE("a dress rehearsal on a body that isn't ours, as generic and as a named model") {
  for (const std::string kind : {"generic", "named"}) {
    CAPTURE(kind);
    const auto driver = driver_of(kind);
    if (driver.empty()) return;
    const Usb usb{driver};
    RunOnBodies run{{"0.1"}, "jpeg", "1/400", "1/50"};
    CHECK(run.comes_to_fire(0, 12));
    CHECK(run.stop() == 0);
    INFO(run.faults(0));
    // Whatever was fired has a picture of its own, announced by the body.
    std::set<std::string> pictures;
    int without = 0;
    for (const auto& frame : run.fired(0)) {
      without += frame.files.empty() ? 1 : 0;
      pictures.insert(frame.files.begin(), frame.files.end());
    }
    CHECK(pictures.size() >= 10);
    CHECK(without <= 3);
  }
}
