#include "lib/contacts/shadow.h"

#include <cmath>

namespace noonfall::contacts {
namespace {

constexpr double radian = pi / 180;
// Turn of the Earth in a second of UT1: 15 degrees an hour times 1.00273781191135448 (IERS Conventions 2010).
constexpr double earth_turn_deg_per_s = 15.0 / 3600 * 1.00273781191135448;
constexpr double astronomical_unit_m = 149'597'870'700;  // IAU 2012 resolution B2

double sun_radius(Arcseconds at_1_au) {
  return std::sin(at_1_au.value / 3600 * radian) * astronomical_unit_m / earth_radius.value;
}

/// cos of the angle with this tangent.
double cosine(double tangent) {
  return 1 / std::sqrt(1 + tangent * tangent);
}

double tangent_of_sine(double sine) {
  return sine / std::sqrt(1 - sine * sine);
}

struct ValueAndRate {
  double value;
  double rate;
};

ValueAndRate evaluate(const Series& c, double t) {
  double value = c[5];
  double rate = 0;
  for (int n = 4; n >= 0; --n) {
    rate = rate * t + value;
    value = value * t + c[static_cast<std::size_t>(n)];
  }
  return {value, rate};
}

Series scaled(Series series, double factor) {
  for (auto& each : series) each *= factor;
  return series;
}

}  // namespace

LocalFrame local_frame(const ShadowState& s, const Observer& observer) {
  const double sin_lat = observer.sin_latitude;
  const double cos_lat = observer.cos_latitude;
  return {{s.cos_h, s.sin_h * s.sin_d, -s.sin_h * s.cos_d},
          {-sin_lat * s.sin_h, cos_lat * s.cos_d + sin_lat * s.cos_h * s.sin_d,
           cos_lat * s.sin_d - sin_lat * s.cos_h * s.cos_d},
          {cos_lat * s.sin_h, sin_lat * s.cos_d - cos_lat * s.cos_h * s.sin_d,
           sin_lat * s.sin_d + cos_lat * s.cos_h * s.cos_d}};
}

Observer::Observer(const Site& site) {
  const double latitude = radians(site.latitude);
  sin_latitude = std::sin(latitude);
  cos_latitude = std::cos(latitude);
  longitude_rad = radians(site.longitude);
  const double e2 = earth_flattening * (2 - earth_flattening);
  const double n = 1 / std::sqrt(1 - e2 * sin_latitude * sin_latitude);
  const double h = site.height.value / earth_radius.value;
  rho_sin_phi = (n * (1 - e2) + h) * sin_latitude;
  rho_cos_phi = (n + h) * cos_latitude;
}

Shadow::Shadow(const Elements& elements, Duration delta_t, Arcseconds solar_radius)
    : x_(elements.x),
      y_(elements.y),
      l1_(elements.l1),
      l2_(elements.l2),
      d_(scaled(elements.d, radian)),
      h_(scaled(elements.mu, radian)),
      tan_f1_(elements.tan_f1),
      tan_f2_(elements.tan_f2),
      k1_(elements.k1),
      k2_(elements.k2) {
  sin_d0_ = std::sin(d_[0]);
  cos_d0_ = std::cos(d_[0]);
  d_[0] = 0;
  h_[0] -= in_seconds(delta_t) * earth_turn_deg_per_s * radian;
  const double sin_f1 = tan_f1_ * cosine(tan_f1_);
  moon_to_sun_ = (sun_radius(auwers_solar_radius) + k1_) / sin_f1;
  if (solar_radius != auwers_solar_radius) take_solar_radius(sun_radius(solar_radius));
  umbra_for_k1_ = (k2_ - k1_) / cosine(tan_f2_);
}

/// The Moon's distance from the fundamental plane is (l1 − k1 / cos f1) / tan f1, and the same from l2; with
/// it and the distance from Moon to Sun kept, the cones follow from the radii of the two bodies.
void Shadow::take_solar_radius(double radius) {
  const double tan_f1 = tangent_of_sine((radius + k1_) / moon_to_sun_);
  const double tan_f2 = tangent_of_sine((radius - k2_) / moon_to_sun_);
  l1_[0] -= k1_ / cosine(tan_f1_);
  l2_[0] += k2_ / cosine(tan_f2_);
  l1_ = scaled(l1_, tan_f1 / tan_f1_);
  l2_ = scaled(l2_, tan_f2 / tan_f2_);
  l1_[0] += k1_ / cosine(tan_f1);
  l2_[0] -= k2_ / cosine(tan_f2);
  tan_f1_ = tan_f1;
  tan_f2_ = tan_f2;
}

ShadowState Shadow::at(double t, const Observer& observer) const {
  const auto x = evaluate(x_, t);
  const auto y = evaluate(y_, t);
  const auto l1 = evaluate(l1_, t);
  const auto l2 = evaluate(l2_, t);
  const auto h = evaluate(h_, t);
  const auto d = evaluate(d_, t);
  ShadowState s;
  const double angle = h.value + observer.longitude_rad;
  s.sin_h = std::sin(angle);
  s.cos_h = std::cos(angle);
  // d moves by a milliradian in hours: three terms of its sine are exact to 1e-13
  const double d2 = d.value * d.value / 2;
  const double d3 = d.value * (1 - d2 / 3);
  s.sin_d = sin_d0_ * (1 - d2) + cos_d0_ * d3;
  s.cos_d = cos_d0_ * (1 - d2) - sin_d0_ * d3;

  const double towards = observer.rho_cos_phi * s.cos_h;
  s.xi = observer.rho_cos_phi * s.sin_h;
  s.eta = observer.rho_sin_phi * s.cos_d - towards * s.sin_d;
  s.zeta = observer.rho_sin_phi * s.sin_d + towards * s.cos_d;
  const double xi_rate = towards * h.rate;
  const double eta_rate = s.xi * s.sin_d * h.rate - s.zeta * d.rate;
  const double zeta_rate = s.eta * d.rate - s.xi * s.cos_d * h.rate;

  s.u = x.value - s.xi;
  s.v = y.value - s.eta;
  s.u_rate = x.rate - xi_rate;
  s.v_rate = y.rate - eta_rate;
  s.u_bend = s.xi * h.rate * h.rate;
  s.v_bend = -towards * s.sin_d * h.rate * h.rate;
  s.penumbra = l1.value - s.zeta * tan_f1_;
  s.umbra = l2.value - s.zeta * tan_f2_;
  s.penumbra_rate = l1.rate - zeta_rate * tan_f1_;
  s.umbra_rate = l2.rate - zeta_rate * tan_f2_;
  return s;
}

double Shadow::moon_distance(double t) const {
  return (evaluate(l1_, t).value - k1_ / cosine(tan_f1_)) / tan_f1_;
}

double Shadow::sun_distance(double t) const {
  return moon_distance(t) + moon_to_sun_;
}

}  // namespace noonfall::contacts
