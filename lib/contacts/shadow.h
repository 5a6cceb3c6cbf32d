// The Moon's shadow as one place meets it: where the place is from the axis and how wide the cones are there.
#pragma once

#include "lib/base/sun.h"
#include "lib/contacts/contact.h"
#include "lib/contacts/elements.h"

namespace noonfall::contacts {

inline constexpr Metres earth_radius{6'378'137};               // WGS84, equatorial
inline constexpr double earth_flattening = 1 / 298.257223563;  // WGS84

/// A site's part of the geometry: its geocentric place in Earth radii, and the directions of its vertical.
struct Observer {
  explicit Observer(const Site& site);
  double rho_sin_phi;   // geocentric, along the Earth's axis
  double rho_cos_phi;   // … and from it
  double sin_latitude;  // geodetic
  double cos_latitude;
  double longitude_rad;
};

/// An observer and the shadow at one instant, seen along the shadow axis: first coordinate east, second
/// north, third towards the Sun. Earth radii and hours.
struct ShadowState {
  double u, v;  // the axis as seen from the observer
  double u_rate, v_rate;
  double u_bend, v_bend;   // second derivatives, the Earth's turning only: all that matters of them
  double xi, eta, zeta;    // the observer
  double penumbra, umbra;  // radii of the cones at the observer; umbra negative where the eclipse is total
  double penumbra_rate, umbra_rate;
  double sin_h, cos_h;  // of the local hour angle of the axis
  double sin_d, cos_d;  // of its declination

  [[nodiscard]] double distance_squared() const { return u * u + v * v; }
  [[nodiscard]] double speed_squared() const { return u_rate * u_rate + v_rate * v_rate; }
};

/// A direction or distance along the shadow axis's frame.
struct AxisVector {
  double east, north, sunward;
};

/// The observer's horizon in that frame: unit vectors to the east, to the north and to the zenith.
struct LocalFrame {
  AxisVector east, north, up;
};
[[nodiscard]] LocalFrame local_frame(const ShadowState& state, const Observer& observer);

/// Elements made ready for one Delta T and one solar radius.
class Shadow {
 public:
  /// `delta_t` is TT − UT1. The elements' cones are taken to be of Auwers' radius; another one rebuilds both
  /// cones about the same axis.
  Shadow(const Elements& elements, Duration delta_t, Arcseconds solar_radius = auwers_solar_radius);

  /// `t` in hours of TT from t0.
  [[nodiscard]] ShadowState at(double t, const Observer& observer) const;

  /// Distances along the axis at `t`, from the fundamental plane, in Earth radii.
  [[nodiscard]] double moon_distance(double t) const;
  [[nodiscard]] double sun_distance(double t) const;

  [[nodiscard]] double tan_f1() const { return tan_f1_; }
  [[nodiscard]] double tan_f2() const { return tan_f2_; }
  /// What to add to the umbra's radius to have it for k1, whose Moon is that much larger.
  [[nodiscard]] double umbra_for_k1() const { return umbra_for_k1_; }

 private:
  void take_solar_radius(double sun_radius);

  Series x_, y_, l1_, l2_;
  Series d_;  // from d at t0, radians
  Series h_;  // hour angle at longitude 0, radians
  double sin_d0_, cos_d0_;
  double tan_f1_, tan_f2_;
  double k1_, k2_;
  double moon_to_sun_;  // Earth radii
  double umbra_for_k1_;
};

}  // namespace noonfall::contacts
