// One simulated body in virtual time, so that every inspection can be tried without hardware and without
// waiting.
#pragma once

#include <memory>

#include "daemon/cameras/body_source.h"
#include "sim/body/simulated_body.h"

namespace noonfall::cameras {

/// Its serial number is "simulated".
[[nodiscard]] std::unique_ptr<BodySource> simulated_source(const sim::BodySetup& setup);

}  // namespace noonfall::cameras
