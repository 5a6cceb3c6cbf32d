// The contract of lib/rig/camera.h held to the camera on this computer's cable; exit code 77 without one.
// NOONFALL_CAMERA_PROFILE may name the profile file of the camera; else it is driven by a shipped one, whose
// choices it has to have.
#define DOCTEST_CONFIG_IMPLEMENT
#include <cstdlib>
#include <fstream>
#include <iostream>
#include <sstream>

#include <doctest/doctest.h>

#include "daemon/gphoto/body_description.h"
#include "daemon/gphoto/library.h"
#include "daemon/gphoto/on_cables.h"
#include "lib/body/profile_text.h"
#include "tests/wire/contract_cases.h"

using namespace noonfall;
using namespace noonfall::tests;

namespace {

constexpr int no_camera = 77;

std::string serial;  // of the camera there is

body::Profile profile() {
  const char* path = std::getenv("NOONFALL_CAMERA_PROFILE");
  if (path == nullptr) return contract_profile();
  std::ifstream file{path};
  std::ostringstream text;
  text << file.rdbuf();
  return body::parse_profile(text.str(), path).value();
}

class Real final : public ContractBody {
 public:
  [[nodiscard]] std::vector<sim::RecordedFrame> taken() const override { return {}; }

 protected:
  rig::Camera& camera() override { return *camera_; }

 private:
  std::unique_ptr<rig::Camera> camera_ = gphoto::camera_on_cable({serial, profile()}, clock_, stop_);
};

const BodyKind real{"real", [](const auto&) { return std::make_unique<Real>(); }};

std::string find_serial() {
  const auto library = gphoto::camera_library();
  const auto found = library->detect();
  if (!found || found->empty()) return {};
  const auto session = library->open(found->front());
  if (!session) return {};
  const auto serials = gphoto::serials_of(**session);
  return serials.empty() ? std::string{} : serials.front();
}

}  // namespace

TEST_CASE("the camera on the cable, fresh") {
  check_fresh_body(real);
}

TEST_CASE("the camera on the cable, in the middle of things") {
  check_busy_body(real);
}

int main(int argc, char** argv) {
  serial = find_serial();
  if (serial.empty()) {
    std::cout << "SKIPPED: no camera with a serial number is on a cable\n";
    return no_camera;
  }
  return doctest::Context{argc, argv}.run();
}
