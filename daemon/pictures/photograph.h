// A picture as a camera writes it: JPEG with Exif (CIPA DC-008).
#pragma once

#include <optional>
#include <string>

#include "daemon/pictures/jpeg.h"
#include "lib/base/units.h"
#include "lib/exposure/exposure.h"
#include "lib/time/utc.h"

namespace noonfall::pictures {

struct ExifFacts {
  std::string maker;
  std::string model;
  std::string serial;
  std::string description;
  Utc clock;              // what the camera's clock shows at the opening
  Duration zone{};        // of that clock, ahead of UTC
  int subsec_digits = 3;  // of it; 0: the camera has whole seconds
  exposure::Exposure exposure;
  std::optional<Millimetres> focal_length;
  int width = 0;
  int height = 0;
};
[[nodiscard]] std::string with_exif(const std::string& jpeg, const ExifFacts& facts);

}  // namespace noonfall::pictures
