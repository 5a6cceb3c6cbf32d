#include "lib/exposure/scale.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace noonfall::exposure {
namespace {

constexpr std::array<Shutter, 64> shutters{
    {{1, 64000}, {1, 50000}, {1, 40000}, {1, 32000}, {1, 25000}, {1, 20000}, {1, 16000}, {1, 13000},
     {1, 10000}, {1, 8000},  {1, 6400},  {1, 5000},  {1, 4000},  {1, 3200},  {1, 2500},  {1, 2000},
     {1, 1600},  {1, 1250},  {1, 1000},  {1, 800},   {1, 640},   {1, 500},   {1, 400},   {1, 320},
     {1, 250},   {1, 200},   {1, 160},   {1, 125},   {1, 100},   {1, 80},    {1, 60},    {1, 50},
     {1, 40},    {1, 30},    {1, 25},    {1, 20},    {1, 15},    {1, 13},    {1, 10},    {1, 8},
     {1, 6},     {1, 5},     {1, 4},     {3, 10},    {2, 5},     {1, 2},     {3, 5},     {4, 5},
     {1, 1},     {13, 10},   {8, 5},     {2, 1},     {5, 2},     {16, 5},    {4, 1},     {5, 1},
     {6, 1},     {8, 1},     {10, 1},    {13, 1},    {15, 1},    {20, 1},    {25, 1},    {30, 1}}};
constexpr int one_second_at = 48;

constexpr std::array<FNumber, 37> f_numbers{
    {{10},  {11},  {12},  {14},  {16},  {18},  {20},  {22},  {25},  {28},  {32},  {35},  {40},
     {45},  {50},  {56},  {63},  {71},  {80},  {90},  {100}, {110}, {130}, {140}, {160}, {180},
     {200}, {220}, {250}, {290}, {320}, {360}, {400}, {450}, {510}, {570}, {640}}};

constexpr std::array<Iso, 49> isos{
    {{6},     {8},     {10},     {12},     {16},     {20},     {25},     {32},     {40},    {50},
     {64},    {80},    {100},    {125},    {160},    {200},    {250},    {320},    {400},   {500},
     {640},   {800},   {1000},   {1250},   {1600},   {2000},   {2500},   {3200},   {4000},  {5000},
     {6400},  {8000},  {10000},  {12800},  {16000},  {20000},  {25600},  {32000},  {40000}, {51200},
     {64000}, {80000}, {102400}, {128000}, {160000}, {204800}, {256000}, {320000}, {409600}}};
constexpr int iso_100_at = 12;

template <class T>
std::optional<int> place(std::span<const T> scale, T value) {
  const auto at = std::find(scale.begin(), scale.end(), value);
  if (at == scale.end()) return std::nullopt;
  return static_cast<int>(at - scale.begin());
}

/// `light(value)` is log2 of the light a value lets through.
template <class T, class Light>
std::optional<Nearest<T>> nearest_by_light(double wanted, std::span<const T> choices, Light light) {
  std::optional<Nearest<T>> best;
  for (const T choice : choices) {
    const Stops off{light(choice) - wanted};
    if (!best || std::abs(off.value) < std::abs(best->off.value)) best = Nearest<T>{choice, off};
  }
  return best;
}

double shutter_light(Shutter shutter) {
  return std::log2(exact_seconds(shutter));
}
double aperture_light(FNumber aperture) {
  return -2 * std::log2(exact_value(aperture));
}
double iso_light(Iso iso) {
  return std::log2(exact_value(iso));
}

template <class T, class Before>
std::vector<T> keep_within(std::span<const T> choices, T low, T high, Before before) {
  std::vector<T> kept;
  std::copy_if(choices.begin(), choices.end(), std::back_inserter(kept),
               [&](T choice) { return !before(choice, low) && !before(high, choice); });
  return kept;
}

}  // namespace

std::span<const Shutter> third_stop_shutters() {
  return shutters;
}
std::span<const FNumber> third_stop_f_numbers() {
  return f_numbers;
}
std::span<const Iso> third_stop_isos() {
  return isos;
}

double exact_seconds(Shutter shutter) {
  const auto at = place(third_stop_shutters(), shutter);
  return at ? std::exp2((*at - one_second_at) / 3.0) : nominal_seconds(shutter);
}

double exact_value(FNumber aperture) {
  const auto at = place(third_stop_f_numbers(), aperture);
  return at ? std::exp2(*at / 6.0) : aperture.tenths / 10.0;
}

double exact_value(Iso iso) {
  const auto at = place(third_stop_isos(), iso);
  return at ? 100 * std::exp2((*at - iso_100_at) / 3.0) : iso.value;
}

std::optional<Nearest<Shutter>> nearest(Seconds wanted, std::span<const Shutter> choices) {
  return nearest_by_light(std::log2(wanted.value), choices, shutter_light);
}
std::optional<Nearest<Shutter>> nearest(Shutter wanted, std::span<const Shutter> choices) {
  return nearest_by_light(shutter_light(wanted), choices, shutter_light);
}
std::optional<Nearest<FNumber>> nearest(FNumber wanted, std::span<const FNumber> choices) {
  return nearest_by_light(aperture_light(wanted), choices, aperture_light);
}
std::optional<Nearest<Iso>> nearest(Iso wanted, std::span<const Iso> choices) {
  return nearest_by_light(iso_light(wanted), choices, iso_light);
}

std::vector<Shutter> within(std::span<const Shutter> choices, Shutter low, Shutter high) {
  return keep_within(choices, low, high, shorter);
}
std::vector<FNumber> within(std::span<const FNumber> choices, FNumber low, FNumber high) {
  return keep_within(choices, low, high, [](FNumber a, FNumber b) { return a.tenths < b.tenths; });
}
std::vector<Iso> within(std::span<const Iso> choices, Iso low, Iso high) {
  return keep_within(choices, low, high, [](Iso a, Iso b) { return a.value < b.value; });
}

bool shorter(Shutter a, Shutter b) {
  return std::int64_t{a.numerator} * b.denominator < std::int64_t{b.numerator} * a.denominator;
}

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
