// A picture of the eclipse as a rig's sensor records it.
#pragma once

#include <cstdint>
#include <vector>

#include "lib/exposure/brightness.h"
#include "lib/exposure/exposure.h"
#include "sim/sky/light.h"
#include "sim/sky/scene.h"

namespace noonfall::sim {

/// A body's sensor and lens, and how large the pictures are that are made of it.
struct Imager {
  Millimetres focal_length{600};
  Millimetres sensor_width{35.9};
  Micrometres pixel{5.9};
  plan::Mount mount = plan::Mount::tracking;
  int width = 1500;
  int height = 1000;
  // What a sensor of this kind has (from memory): electrons of a full pixel at ISO 100, and of its reading.
  double full_well = 50'000;
  double read_noise = 3;

  /// Of the sensor's pixels, so many make one of the picture.
  [[nodiscard]] double pixels_binned() const;
  [[nodiscard]] double pixels_per_radian() const;
};

struct Shooting {
  Utc opened;
  Utc closed;
  exposure::Exposure exposure;
  double density = 0;  // of a solar filter on the lens
  Aspect aim;          // where a fixed mount was pointed
  std::uint64_t seed = 0;
  double magnitudes_per_airmass = exposure::clear_air_magnitudes;  // of the sky that day
};

/// Counts of a 14-bit converter, black at `black`, three a pixel (red, green, blue), rows from the top.
struct Exposed {
  static constexpr int black = 512;
  static constexpr int white = 16'383;
  int width = 0;
  int height = 0;
  std::vector<std::uint16_t> counts;
};

/// The light on the sensor alone, in units of the mean disc, filter and air taken in, trailing too.
struct Radiance {
  int width = 0;
  int height = 0;
  std::vector<Rgb> light;
};
[[nodiscard]] Radiance radiance(const Scene& scene, const Corona& corona, const Imager& imager,
                                const Shooting& shooting);

/// Of what a pixel holds, for light of one mean disc.
[[nodiscard]] double share_of_full(const exposure::Exposure& exposure);

/// Electrons of a full pixel of the picture.
[[nodiscard]] double electrons_when_full(const Imager& imager, exposure::Iso iso);

[[nodiscard]] Exposed exposed(const Radiance& radiance, const Imager& imager, const Shooting& shooting);

/// For a screen: sRGB (IEC 61966-2-1), black taken off, white where the sensor is full.
[[nodiscard]] std::vector<std::uint8_t> to_srgb(const Exposed& picture);

}  // namespace noonfall::sim
