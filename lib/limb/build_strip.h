// Makes a strip of lunar heights from a global elevation image.
#pragma once

#include "lib/limb/elevation_image.h"
#include "lib/limb/strip.h"

namespace noonfall::limb {

/// 16 cells a degree, fewer around where the image is coarser; each is the mean of the image over it, of
/// points as close as the pixels. Errors (code "pds-image"): heights no place on the Moon has.
[[nodiscard]] Result<Strip> build_strip(const ElevationLabel& label, const ElevationImage& image);

}  // namespace noonfall::limb
