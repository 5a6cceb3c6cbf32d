// The third-stop scales of shutter, f-number and ISO, and the nearest value on any list of choices.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "lib/base/units.h"
#include "lib/exposure/exposure.h"

namespace noonfall::exposure {

/// Names in rising order. The shutter's run from 1/64000 to 30 s and stand for 2^(k/3) s, the f-numbers from
/// f/1 to f/64 for 2^(k/6), the ISO values from 6 to 409600 for 100 * 2^(k/3). Names after ISO 516 and common
/// practice (no source for the thirds; names shorter than 1/8000 vary from maker to maker).
[[nodiscard]] std::span<const Shutter> third_stop_shutters();
[[nodiscard]] std::span<const FNumber> third_stop_f_numbers();
[[nodiscard]] std::span<const Iso> third_stop_isos();

/// A value of a list, and how much more (+) or less (-) light it lets through than the wanted one.
template <class T>
struct Nearest {
  T value;
  Stops off;
  bool operator==(const Nearest&) const = default;

  /// As good as the wanted one: within half a third-stop click.
  [[nodiscard]] bool matches() const { return off >= Stops{-1.0 / 6} && off <= Stops{1.0 / 6}; }
};

/// The choice nearest in stops, by exact values; of two equally near ones the earlier. Empty without choices.
/// `wanted` is above zero.
[[nodiscard]] std::optional<Nearest<Shutter>> nearest(Seconds wanted, std::span<const Shutter> choices);
[[nodiscard]] std::optional<Nearest<Shutter>> nearest(Shutter wanted, std::span<const Shutter> choices);
[[nodiscard]] std::optional<Nearest<FNumber>> nearest(FNumber wanted, std::span<const FNumber> choices);
[[nodiscard]] std::optional<Nearest<Iso>> nearest(Iso wanted, std::span<const Iso> choices);

/// The choices from `low` to `high`, both included, in the order of the list.
[[nodiscard]] std::vector<Shutter> within(std::span<const Shutter> choices, Shutter low, Shutter high);
[[nodiscard]] std::vector<FNumber> within(std::span<const FNumber> choices, FNumber low, FNumber high);
[[nodiscard]] std::vector<Iso> within(std::span<const Iso> choices, Iso low, Iso high);

/// Whether `a` is the shorter time, compared by name.
[[nodiscard]] bool shorter(Shutter a, Shutter b);

/// Av = 2 log2 N, Tv = -log2 t, Sv = log2(ISO / 3.125), all from exact values.
[[nodiscard]] Stops aperture_value(FNumber aperture);
[[nodiscard]] Stops time_value(Shutter shutter);
[[nodiscard]] Stops speed_value(Iso iso);

/// Ev = Av + Tv. Without an f-number only Tv.
[[nodiscard]] Stops exposure_value(const Exposure& exposure);

/// How much more (+) or less (-) light `b` records than `a`. An f-number missing on either side counts as
/// unchanged.
[[nodiscard]] Stops stops_between(const Exposure& a, const Exposure& b);

}  // namespace noonfall::exposure
