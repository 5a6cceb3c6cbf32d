// Contacts per second of the batch, against a bare Newton loop on the same elements and, where it is
// installed, against a general ephemeris library's local eclipse search. The bars, on one core: a site in at
// most twice the time of the bare loop, and in a 500th of the library's.
#include <algorithm>
#include <chrono>
#include <cmath>
#include <optional>
#include <random>

#include <benchmark/benchmark.h>

#include "lib/contacts/batch.h"
#include "lib/contacts/circumstances.h"
#include "lib/contacts/elements.h"
#ifdef NOONFALL_HAS_SWEPH
#include <swephexp.h>
#endif

namespace {

using namespace noonfall;
using namespace noonfall::contacts;

const Elements& eclipse() {
  static const auto* found = find_elements(built_in_elements(), *parse_date("2027-08-02"));
  return *found;
}

/// Sites of Europe, Africa and Arabia, all of them eclipsed, one in ten totally.
const std::vector<Site>& sites() {
  static const auto made = [] {
    std::mt19937 random{2027};
    std::uniform_real_distribution<double> latitude{20, 45};
    std::uniform_real_distribution<double> longitude{-10, 40};
    std::uniform_real_distribution<double> height{0, 3000};
    std::vector<Site> list;
    for (int n = 0; n < 4096; ++n)
      list.push_back({{latitude(random)}, {longitude(random)}, {height(random)}});
    return list;
  }();
  return made;
}

/// The textbook method (Explanatory Supplement to the Astronomical Almanac, 3rd ed., 11.3) with no care at
/// all: polynomials, sines and cosines afresh at each step, to 10 µs.
namespace bare {

double value(const Series& c, double t) {
  return c[0] + t * (c[1] + t * (c[2] + t * (c[3] + t * (c[4] + t * c[5]))));
}

double rate(const Series& c, double t) {
  return c[1] + t * (2 * c[2] + t * (3 * c[3] + t * (4 * c[4] + t * 5 * c[5])));
}

struct Place {
  double rho_sin, rho_cos, longitude_deg;
};

struct State {
  double u, v, a, b, n2, l1, l2;
};

State at(const Elements& e, const Place& place, double delta_t_s, double t) {
  const double h = radians({value(e.mu, t) + place.longitude_deg - 0.00417807 * delta_t_s});
  const double d = radians({value(e.d, t)});
  const double mu_rate = radians({rate(e.mu, t)});
  const double d_rate = radians({rate(e.d, t)});
  const double xi = place.rho_cos * std::sin(h);
  const double eta = place.rho_sin * std::cos(d) - place.rho_cos * std::cos(h) * std::sin(d);
  const double zeta = place.rho_sin * std::sin(d) + place.rho_cos * std::cos(h) * std::cos(d);
  State s;
  s.u = value(e.x, t) - xi;
  s.v = value(e.y, t) - eta;
  s.a = rate(e.x, t) - mu_rate * place.rho_cos * std::cos(h);
  s.b = rate(e.y, t) - (mu_rate * xi * std::sin(d) - zeta * d_rate);
  s.n2 = s.a * s.a + s.b * s.b;
  s.l1 = value(e.l1, t) - zeta * e.tan_f1;
  s.l2 = value(e.l2, t) - zeta * e.tan_f2;
  return s;
}

constexpr double close_enough_h = 3e-9;

double contact(const Elements& e, const Place& place, double delta_t_s, double t, double side, bool outer) {
  for (int n = 0; n < 20; ++n) {
    const auto s = at(e, place, delta_t_s, t);
    const double speed = std::sqrt(s.n2);
    const double l = outer ? s.l1 : s.l2;
    const double sine = (s.a * s.v - s.u * s.b) / (speed * l);
    const double cosine = std::sqrt(std::max(0.0, 1 - sine * sine));
    const double step = -(s.u * s.a + s.v * s.b) / s.n2 + side * std::abs(l) * cosine / speed;
    t += step;
    if (std::abs(step) < close_enough_h) break;
  }
  return t;
}

double solve(const Elements& e, const Site& site, double delta_t_s) {
  const Observer observer{site};
  const Place place{observer.rho_sin_phi, observer.rho_cos_phi, site.longitude.value};
  double mid = 0;
  State s{};
  for (int n = 0; n < 20; ++n) {
    s = at(e, place, delta_t_s, mid);
    const double step = -(s.u * s.a + s.v * s.b) / s.n2;
    mid += step;
    if (std::abs(step) < close_enough_h) break;
  }
  const double m = std::sqrt(s.u * s.u + s.v * s.v);
  if (m > s.l1) return 0;
  double sum = mid + contact(e, place, delta_t_s, mid, -1, true) + contact(e, place, delta_t_s, mid, 1, true);
  if (m < std::abs(s.l2)) {
    sum += contact(e, place, delta_t_s, mid, -1, false) + contact(e, place, delta_t_s, mid, 1, false);
  }
  return sum + covered_area((s.l1 + s.l2) / 2, (s.l1 - s.l2) / 2, m);
}

}  // namespace bare

template <class Solve>
void over_sites(benchmark::State& state, Solve&& solve) {
  std::size_t next = 0;
  for (auto _ : state) {
    benchmark::DoNotOptimize(solve(sites()[next]));
    next = (next + 1) % sites().size();
  }
  state.SetItemsProcessed(state.iterations());
}

void batch(benchmark::State& state) {
  const Batch batch{eclipse(), {}};
  over_sites(state, batch);
}
BENCHMARK(batch);

/// As many as are asked for, with what is worked out once for all.
void batch_of_sites(benchmark::State& state) {
  const auto count = static_cast<std::size_t>(state.range(0));
  for (auto _ : state) {
    const Batch batch{eclipse(), {}};
    for (std::size_t n = 0; n < count; ++n) benchmark::DoNotOptimize(batch(sites()[n % sites().size()]));
  }
  state.counters["sites"] = static_cast<double>(count);
}
BENCHMARK(batch_of_sites)->RangeMultiplier(10)->Range(1, 100'000)->Unit(benchmark::kMicrosecond);

void bare_newton_loop(benchmark::State& state) {
  over_sites(state, [](const Site& site) { return bare::solve(eclipse(), site, 69.184); });
}
BENCHMARK(bare_newton_loop);

void full_circumstances(benchmark::State& state) {
  const Settings settings;
  over_sites(state, [&](const Site& site) { return circumstances(eclipse(), site, settings); });
}
BENCHMARK(full_circumstances);

#ifdef NOONFALL_HAS_SWEPH
/// The same answer: contacts, kind (the flags), magnitude and obscuration (the attributes).
double general_library_at(const Site& site) {
  static const double start = [] {
    char folder[] =
        "/usr/share/libswe/ephe";  // Debian's swe-standard-data; without it the library uses series
    swe_set_ephe_path(folder);
    return swe_julday(2027, 8, 1, 0, SE_GREG_CAL);
  }();
  double place[3] = {site.longitude.value, site.latitude.value, site.height.value};
  double times[10];
  double attributes[20];
  char error[AS_MAXCH];
  swe_sol_eclipse_when_loc(start, SEFLG_SWIEPH, place, times, attributes, 0, error);
  return times[0] + attributes[0];
}

void general_library(benchmark::State& state) {
  over_sites(state, general_library_at);
}
BENCHMARK(general_library)->Unit(benchmark::kMicrosecond);
#endif

/// Seconds a site takes, over `count` sites.
template <class Solve>
double seconds_a_site(std::size_t count, Solve&& solve) {
  const auto begin = std::chrono::steady_clock::now();
  for (std::size_t n = 0; n < count; ++n) benchmark::DoNotOptimize(solve(sites()[n]));
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - begin;
  return took.count() / static_cast<double>(count);
}

/// All of them in turns, so that a busy machine slows them alike.
void ratios(benchmark::State& state) {
  const Batch batch{eclipse(), {}};
  double ours = 0;
  double bare_loop = 0;
  [[maybe_unused]] double library = 0;
  for (auto _ : state) {
    ours += seconds_a_site(sites().size(), batch);
    bare_loop +=
        seconds_a_site(sites().size(), [](const Site& site) { return bare::solve(eclipse(), site, 69.184); });
#ifdef NOONFALL_HAS_SWEPH
    library += seconds_a_site(8, general_library_at);
#endif
  }
  state.counters["of_bare_loop"] = ours / bare_loop;
#ifdef NOONFALL_HAS_SWEPH
  state.counters["library_over_ours"] = library / ours;
#endif
}
BENCHMARK(ratios)->Unit(benchmark::kMillisecond);

}  // namespace
