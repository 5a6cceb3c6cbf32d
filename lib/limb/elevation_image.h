// A global elevation image of the Moon as its PDS label describes it, and the strip made of one.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "lib/base/result.h"
#include "lib/limb/strip.h"

namespace noonfall::limb {

/// Row 0 lies along the north pole, column 0 from longitude 0 eastwards; pixels are centred half a pixel in.
struct ElevationLabel {
  enum class Sample { int16, float32 };  // little-endian both
  std::string image_file;
  std::uint32_t pixels_per_degree = 0;
  Sample sample = Sample::int16;
  double km_per_unit = 0;
  double reference_radius_km = 0;
  bool operator==(const ElevationLabel&) const = default;

  [[nodiscard]] std::uint32_t lines() const { return 180 * pixels_per_degree; }
  [[nodiscard]] std::uint32_t samples() const { return 360 * pixels_per_degree; }
  [[nodiscard]] std::uint64_t image_bytes() const {
    return std::uint64_t{lines()} * samples() * (sample == Sample::int16 ? 2 : 4);
  }
};

/// Reads the label of a product such as LDEM_16 of the LOLA gridded data records: simple cylindrical, the
/// whole Moon, mean-Earth frame, 4 to 512 pixels a degree. Each error names the keyword at fault.
[[nodiscard]] Result<ElevationLabel> parse_elevation_label(std::string_view text);

/// The pixels, of which `bytes` must be label.image_bytes(); looked at where they lie.
class ElevationImage {
 public:
  ElevationImage(const ElevationLabel& label, std::string_view bytes);

  /// Kilometres above the label's reference radius; latitude -90 to 90, any longitude, degrees. Between pixel
  /// centres bilinear, across the poles too.
  [[nodiscard]] double height_km(double latitude, double longitude) const;

 private:
  [[nodiscard]] double pixel(std::int64_t line, std::int64_t sample) const;

  ElevationLabel label_;
  std::string_view bytes_;
};

/// 16 cells a degree, fewer around where the image is coarser; each is the mean of the image over it, of
/// points as close as the pixels. Errors (code "pds-image"): heights no place on the Moon has.
[[nodiscard]] Result<Strip> build_strip(const ElevationLabel& label, const ElevationImage& image);

}  // namespace noonfall::limb
