#include "daemon/cameras/camera_process.h"

#include <doctest/doctest.h>

namespace noonfall::cameras {
namespace {

/// Of a program that says this instead of a camera process.
std::string refusal(const std::string& script) {
  const auto run = run_camera({"/bin/sh", {"-c", script}}, [](const Said&) {});
  return run ? "" : run.error().front().message;
}

}  // namespace

TEST_CASE("a camera process that never ends its line is heard for a mebibyte and no more") {
  CHECK(refusal("yes | tr -d '\\n'") == "the camera process said a line of more than 1048576 bytes");
}

TEST_CASE("a camera process that says nothing and ends well is done") {
  CHECK(refusal("exit 0") == "");
  CHECK(refusal("exit 3") == "the camera process ended with exit code 3");
}

}  // namespace noonfall::cameras
