// How bright each part of an eclipsed Sun is, over the mean of its disc, as seen in red, green and blue.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

namespace noonfall::sim {

using Rgb = std::array<float, 3>;

/// Limb darkening (Neckel & Labs 1994, Solar Physics 153, 91, table 1: 610.975, 541.760 and 457.345 nm), over
/// the mean of the disc. `share` of the radius, 0 to 1.
[[nodiscard]] Rgb disc_light(double share);

/// Baumbach's law (1937, in Allen's Astrophysical Quantities), over the mean of the disc; `r` in solar radii
/// from the centre, 1 and more.
[[nodiscard]] double corona_light(double r);

/// What of the chromosphere shows, at its foot: the exposure guide's Q 11 (NASA RP 1369) lies 13.6 stops
/// below the disc's. It thins out with a scale of about 1000 km (from memory).
inline constexpr double chromosphere_light = 8e-5;
inline constexpr double chromosphere_scale = 1000.0 / 695'700;  // solar radii
inline constexpr double prominence_light = 2e-5;                // Q 9: 15.6 stops below
inline constexpr Rgb hydrogen{2.0F, 0.45F, 0.75F};              // their colour; H alpha and its like
/// 10^-9.4 of the disc (from memory), about as the sky.
inline constexpr double earthshine = 4e-10;
/// 12.4 to 13.3 mag a square arcsecond (sky meters, Idaho 2017): 2.8 to 6.4e-10 of the disc.
inline constexpr double sky_in_totality = 4.5e-10;
/// The clear sky beside the uncovered Sun (from memory: 1e-6 to 1e-5), which goes as what is left of the Sun.
inline constexpr double sky_by_day = 3e-6;
/// What air and glass scatter of an uncovered Sun, one solar radius from it, falling with the square of the
/// distance (from memory: a clean lens's part in some thousands). It makes the diamond of the ring.
inline constexpr double glare = 2e-4;
inline constexpr Rgb sky_colour{0.8F, 0.95F, 1.3F};

/// Q of t = N^2 / (ISO 2^Q) for the mean disc in the clear at a middle grey: luminance 1.6e9 cd/m2 and K
/// = 12.5 (ISO 2720). The exposure guide, at Q 24.6, shows it `disc_above_grey` brighter.
inline constexpr double disc_q = 26.9;

/// The corona of one day: flattened, with streamers, by its seed; and prominences.
class Corona {
 public:
  explicit Corona(std::uint64_t seed);
  /// `r` in solar radii from the centre, `angle` around it in turns from north through east, 0 to 1.
  [[nodiscard]] float light(double r, double angle) const;
  /// Of prominences, 0 to 1 of their light.
  [[nodiscard]] float prominence(double r, double angle) const;
  static constexpr double reach = 24;  // solar radii; beyond is sky alone

 private:
  struct Prominence {
    double angle;
    double width;   // turns
    double height;  // solar radii
  };
  static constexpr std::size_t radii = 4096;
  static constexpr std::size_t angles = 1024;
  std::vector<float> law_;       // by radius from 1
  std::vector<float> stretch_;   // by angle: how much nearer a point counts
  std::vector<float> streamer_;  // by angle: what is added to the law further out
  std::vector<Prominence> prominences_;
};

}  // namespace noonfall::sim
