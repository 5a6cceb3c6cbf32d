#include "lib/exposure/apex.h"

#include <cmath>

namespace noonfall::exposure {

Stops aperture_value(FNumber aperture) {
  return {2 * std::log2(exact_value(aperture))};
}

Stops time_value(Shutter shutter) {
  return {-std::log2(exact_seconds(shutter))};
}

Stops speed_value(Iso iso) {
  return {std::log2(exact_value(iso) / 3.125)};
}

Stops exposure_value(const Exposure& exposure) {
  const double av = exposure.aperture ? aperture_value(*exposure.aperture).value : 0;
  return {av + time_value(exposure.shutter).value};
}

Stops stops_between(const Exposure& a, const Exposure& b) {
  const double longer = time_value(a.shutter).value - time_value(b.shutter).value;
  const double faster = speed_value(b.iso).value - speed_value(a.iso).value;
  const bool apertures = a.aperture && b.aperture;
  const double wider = apertures ? aperture_value(*a.aperture).value - aperture_value(*b.aperture).value : 0;
  return {longer + wider + faster};
}

}  // namespace noonfall::exposure
