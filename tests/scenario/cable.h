// A body at a cable in a day of virtual time: a scripted session that takes pictures, with a fault that a
// test has in each call.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "daemon/gphoto/cabled_camera.h"
#include "lib/rig/camera.h"
#include "tests/scenario/scenario.h"
#include "tests/unit/gphoto/scripted_body.h"

namespace noonfall::scenario {

/// How a call to the library goes wrong.
struct Wrong {
  gphoto::DriverError error;
  bool done = false;  // what was asked is done all the same
  Duration takes{};   // before it comes back
  bool fails = true;  // else it merely takes long
};

class Cable {
 public:
  Cable(const body::Profile& profile, Utc now);
  Cable(const Cable&) = delete;
  Cable& operator=(const Cable&) = delete;

  /// A camera on it, as a worker opens one.
  [[nodiscard]] std::shared_ptr<rig::Camera> camera();

  std::shared_ptr<gphoto::Script> script;
  std::function<std::optional<Wrong>(std::size_t number, const std::string& call)> wrong;  // from 1
  std::vector<Picture> taken;
  std::vector<order::FrameId> asked;  // by the release under way
  std::size_t calls = 0;              // so far
  enum class Pictures { announced, silent, in_memory } pictures = Pictures::announced;

 private:
  [[nodiscard]] std::optional<gphoto::DriverError> strike(const std::string& call);
  void take_picture();

  body::Profile profile_;
  std::size_t released_ = 0;  // pictures of the release under way
};

}  // namespace noonfall::scenario
