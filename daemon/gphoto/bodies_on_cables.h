// The real bodies within reach, for everything before the day.
#pragma once

#include <memory>

#include "daemon/cameras/body_source.h"

namespace noonfall::gphoto {

[[nodiscard]] std::unique_ptr<cameras::BodySource> bodies_on_cables();

}  // namespace noonfall::gphoto
