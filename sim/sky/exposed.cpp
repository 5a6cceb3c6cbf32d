#include "sim/sky/exposed.h"

#include <algorithm>
#include <cmath>

#include "lib/contacts/angles.h"
#include "lib/exposure/brightness.h"
#include "sim/sky/luck.h"

namespace noonfall::sim {
namespace {

constexpr exposure::FNumber telescope{80};  // a lens the body knows nothing of (no source)

/// From north through east, 0 to 1, within 0.00002: an arc tangent for every pixel would be half of the work.
/// The polynomial is Abramowitz & Stegun's 4.4.49.
double turn_of(double east, double north) {
  const double across = std::abs(east);
  const double along = std::abs(north);
  const double x = std::min(across, along) / std::max({across, along, 1e-30});
  const double xx = x * x;
  const double arc =
      x * (0.9998660 + xx * (-0.3302995 + xx * (0.1801410 + xx * (-0.0851330 + xx * 0.0208351))));
  double turn = arc / (2 * pi);
  if (across > along) turn = 0.25 - turn;
  if (north < 0) turn = 0.5 - turn;
  return east < 0 && turn > 0 ? 1 - turn : turn;
}

/// Of lengths far from overflow, quicker than std::hypot.
double length(double a, double b) {
  return std::sqrt(a * a + b * b);
}

/// The light of every pixel at one instant.
class Painter {
 public:
  Painter(const Aspect& aspect, const Corona& corona, const Projection& projection)
      : aspect_{aspect},
        corona_{corona},
        projection_{projection},
        pixel_{1 / std::hypot(projection.east_x, projection.east_y)},
        sky_{static_cast<float>(sky_in_totality + sky_by_day * aspect.uncovered)} {
    const double det = projection.east_x * projection.north_y - projection.east_y * projection.north_x;
    to_east_ = {projection.north_y / det, -projection.north_x / det};
    to_north_ = {-projection.east_y / det, projection.east_x / det};
    for (std::size_t n = 0; n < disc_.size(); ++n)
      disc_[n] = disc_light(std::sqrt(static_cast<double>(n) / last_step));
  }

  /// Adds `weight` of it.
  void paint(Radiance& onto, float weight) const {
    for (int row = 0; row < onto.height; ++row) {
      auto* pixel = &onto.light[static_cast<std::size_t>(row) * static_cast<std::size_t>(onto.width)];
      const double dy = row + 0.5 - projection_.y;
      for (int column = 0; column < onto.width; ++column, ++pixel) {
        const double dx = column + 0.5 - projection_.x;
        add(*pixel, to_east_[0] * dx + to_east_[1] * dy, to_north_[0] * dx + to_north_[1] * dy, weight);
      }
    }
  }

 private:
  /// Around the Sun's centre, in solar radii.
  void add(Rgb& light, double east, double north, float weight) const {
    const double r = length(east, north);
    Rgb sum;
    for (std::size_t c = 0; c < 3; ++c) sum[c] = sky_ * sky_colour[c];
    if (projection_.in_front && r < Corona::reach) {
      const double moon = moon_share(east, north);
      const double sun = std::clamp((1 - r) / pixel_ + 0.5, 0.0, 1.0);
      const auto photosphere = static_cast<float>(std::max(0.0, sun - moon));
      if (photosphere > 0) {
        const auto& disc = disc_[static_cast<std::size_t>(std::min(1.0, r * r) * last_step)];
        for (std::size_t c = 0; c < 3; ++c) sum[c] += photosphere * disc[c];
      }
      if (moon < 1 && sun < 1) add_above(sum, r, turn_of(east, north), static_cast<float>(1 - moon));
      const auto veil = static_cast<float>(moon * earthshine + glare_at(east, north));
      for (auto& part : sum) part += veil;
    }
    for (std::size_t c = 0; c < 3; ++c) light[c] += weight * sum[c];
  }

  /// What stands above the Sun's edge.
  void add_above(Rgb& sum, double r, double turn, float seen) const {
    const auto corona = corona_.light(std::max(1.0, r), turn);
    auto hot = static_cast<float>(prominence_light) * corona_.prominence(r, turn);
    // Thinner than a pixel: its light over what of the pixel lies above the edge.
    const double low = std::max(0.0, r - pixel_ / 2 - 1);
    const double high = r + pixel_ / 2 - 1;
    if (high > 0 && low < 10 * chromosphere_scale) {
      const double layer =
          chromosphere_scale * (std::exp(-low / chromosphere_scale) - std::exp(-high / chromosphere_scale));
      hot += static_cast<float>(chromosphere_light * layer / pixel_);
    }
    for (std::size_t c = 0; c < 3; ++c) sum[c] += seen * (corona + hot * hydrogen[c]);
  }

  /// Around the middle of what is left of the Sun.
  [[nodiscard]] double glare_at(double east, double north) const {
    const double away = std::max(1e-9, length(aspect_.moon_east, aspect_.moon_north));
    const double out = (1 - aspect_.uncovered) / away;
    const double distance = length(east + aspect_.moon_east * out, north + aspect_.moon_north * out);
    return glare * aspect_.uncovered / std::max(distance * distance, pixel_ * pixel_);
  }

  /// Of the pixel, what the Moon covers.
  [[nodiscard]] double moon_share(double east, double north) const {
    const double de = east - aspect_.moon_east;
    const double dn = north - aspect_.moon_north;
    const double d = length(de, dn);
    double edge = aspect_.moon_radius;
    constexpr double highest_mountain = 0.01;
    if (!aspect_.moon_edge.empty() && std::abs(d - edge) < highest_mountain + pixel_) {
      const auto n =
          static_cast<std::size_t>(turn_of(de, dn) * static_cast<double>(aspect_.moon_edge.size()));
      edge = aspect_.moon_edge[std::min(n, aspect_.moon_edge.size() - 1)];
    }
    return std::clamp((edge - d) / pixel_ + 0.5, 0.0, 1.0);
  }

  static constexpr double last_step = 2047;
  const Aspect& aspect_;
  const Corona& corona_;
  Projection projection_;
  double pixel_;  // solar radii
  float sky_;
  std::array<double, 2> to_east_{};
  std::array<double, 2> to_north_{};
  std::array<Rgb, static_cast<std::size_t>(last_step) + 1>
      disc_{};  // by the square of the share of the radius
};

/// Into how many instants an exposure is divided, so that none lies a pixel from the next.
int instants_of(const Projection& first, const Projection& last) {
  constexpr double most = 12;
  const double pixels = std::hypot(last.x - first.x, last.y - first.y);
  return 1 + static_cast<int>(std::min(most, pixels));
}

double read_variance(const Imager& imager) {
  return imager.read_noise * imager.read_noise * imager.pixels_binned();
}

}  // namespace

double Imager::pixels_binned() const {
  const double across = sensor_width.value * 1000 / pixel.value / width;
  return across * across;
}

double Imager::pixels_per_radian() const {
  return focal_length.value * width / sensor_width.value;
}

Radiance radiance(const Scene& scene, const Corona& corona, const Imager& imager, const Shooting& shooting) {
  Radiance out{imager.width, imager.height, {}};
  out.light.resize(static_cast<std::size_t>(imager.width) * static_cast<std::size_t>(imager.height));
  const auto project_at = [&](const Aspect& aspect) {
    return project(aspect, shooting.aim, imager.mount, imager.pixels_per_radian(), imager.width,
                   imager.height);
  };
  const auto parts =
      instants_of(project_at(scene.at(shooting.opened)), project_at(scene.at(shooting.closed)));
  for (int n = 0; n < parts; ++n) {
    const auto aspect =
        scene.at(shooting.opened + (shooting.closed - shooting.opened) * (2 * n + 1) / (2 * parts));
    const auto lost =
        exposure::low_sun_stops(contacts::refracted(aspect.altitude), shooting.magnitudes_per_airmass);
    const auto through_air = std::exp2(-lost.value);
    const auto through = through_air * std::pow(10, -shooting.density);
    Painter{aspect, corona, project_at(aspect)}.paint(out, static_cast<float>(through / parts));
  }
  return out;
}

double share_of_full(const exposure::Exposure& exposure) {
  const auto n = exposure::exact_value(exposure.aperture.value_or(telescope));
  return exposure::middle_grey * std::exp2(disc_q) * exposure::exact_seconds(exposure.shutter) *
         exposure::exact_value(exposure.iso) / (n * n);
}

double electrons_when_full(const Imager& imager, exposure::Iso iso) {
  // Above the ISO of the full well, the converter is full first.
  return imager.full_well * std::min(1.0, 100 / exposure::exact_value(iso)) * imager.pixels_binned();
}

Exposed exposed(const Radiance& radiance, const Imager& imager, const Shooting& shooting) {
  static const NormalNumbers normal;
  Exposed out{radiance.width, radiance.height, {}};
  out.counts.reserve(radiance.light.size() * 3);
  const auto full = static_cast<float>(electrons_when_full(imager, shooting.exposure.iso));
  const auto gain = static_cast<float>(share_of_full(shooting.exposure)) * full;
  const auto read = static_cast<float>(read_variance(imager));
  const float per_electron = (Exposed::white - Exposed::black) / full;
  Luck luck{shooting.seed};
  for (const auto& pixel : radiance.light) {
    const auto chance = luck.next();
    for (std::size_t c = 0; c < 3; ++c) {
      const auto electrons = std::min(pixel[c] * gain, 4 * full);
      const auto blur = std::sqrt(electrons + read) * normal[static_cast<std::uint16_t>(chance >> (16 * c))];
      const auto count = Exposed::black + (electrons + blur) * per_electron + 0.5F;
      out.counts.push_back(static_cast<std::uint16_t>(std::clamp(count, 0.0F, float{Exposed::white})));
    }
  }
  return out;
}

std::vector<std::uint8_t> to_srgb(const Exposed& picture) {
  static const auto curve = [] {
    std::vector<std::uint8_t> of_count(Exposed::white + 1);
    for (int n = 0; n <= Exposed::white; ++n) {
      const double linear =
          std::max(0.0, static_cast<double>(n - Exposed::black) / (Exposed::white - Exposed::black));
      const double shown = linear <= 0.0031308 ? 12.92 * linear : 1.055 * std::pow(linear, 1 / 2.4) - 0.055;
      of_count[static_cast<std::size_t>(n)] = static_cast<std::uint8_t>(std::lround(255 * shown));
    }
    return of_count;
  }();
  std::vector<std::uint8_t> out;
  out.reserve(picture.counts.size());
  for (const auto count : picture.counts) out.push_back(curve[count]);
  return out;
}

}  // namespace noonfall::sim
