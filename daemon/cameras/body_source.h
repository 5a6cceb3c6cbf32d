// The bodies within reach of one camera process, for everything before the day.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "lib/base/result.h"
#include "lib/body/description.h"
#include "lib/body/inspection.h"
#include "lib/rig/camera.h"
#include "lib/time/utc.h"

namespace noonfall::cameras {

/// An open body, and the time it lives in: a simulated one needn't be waited for.
class BodyAtHand {
 public:
  virtual ~BodyAtHand() = default;
  [[nodiscard]] virtual rig::Camera& camera() = 0;
  [[nodiscard]] virtual body::Inspection& inspection() = 0;
  [[nodiscard]] virtual Utc now() = 0;
  virtual void wait_until(Utc instant) = 0;
};

/// A body that is there and can't be opened.
struct Unopened {
  std::string port;
  std::string model;
  std::string why;
  bool held = false;  // another program has it
  bool operator==(const Unopened&) const = default;
};

struct Found {
  std::vector<body::Description> bodies;
  std::vector<Unopened> unopened;
};

class BodySource {
 public:
  virtual ~BodySource() = default;
  /// Opens each in turn, asks it about itself, and closes it.
  [[nodiscard]] virtual Result<Found> find() = 0;
  /// The one body of this serial number.
  [[nodiscard]] virtual Result<std::unique_ptr<BodyAtHand>> open(const std::string& serial) = 0;
};

}  // namespace noonfall::cameras
