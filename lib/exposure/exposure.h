// Shutter, f-number and ISO as a camera names them, and what the names stand for.
#pragma once

#include <compare>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace noonfall::exposure {

/// A shutter time by its name, an exact fraction of seconds: 1/2000 is {1, 2000}, 1.3 s is {13, 10}, 2 s is
/// {2, 1}. Always in lowest terms, between 1/64000 s and 900 s.
struct Shutter {
  std::int32_t numerator = 1;
  std::int32_t denominator = 1;
  bool operator==(const Shutter&) const = default;
};

/// An f-number by its name, in tenths: f/5.6 is {56}, f/8 is {80}. From f/0.7 to f/128.
struct FNumber {
  std::int32_t tenths = 80;
  bool operator==(const FNumber&) const = default;
};

/// An ISO exposure index by its name. From 6 to 409600.
struct Iso {
  std::int32_t value = 100;
  bool operator==(const Iso&) const = default;
};

/// What one frame is taken with. Without an f-number the lens has none the body could set (a telescope).
struct Exposure {
  Shutter shutter;
  std::optional<FNumber> aperture;
  Iso iso;
  bool operator==(const Exposure&) const = default;
};

/// The time the name stands for: names on the third-stop scale stand for 2^(k/3) s (1/60 is 1/64 s), others
/// for themselves. ISO 516 gives the names; common practice, no source, for the thirds.
[[nodiscard]] double exact_seconds(Shutter shutter);
[[nodiscard]] double nominal_seconds(Shutter shutter);
/// f/5.6 stands for 2^(5/2); names off the third-stop scale for themselves.
[[nodiscard]] double exact_value(FNumber aperture);
[[nodiscard]] double exact_value(Iso iso);

/// "1/2000", "1.3 s", "2 s"; "f/5.6", "f/8"; "ISO 400".
[[nodiscard]] std::string to_text(Shutter shutter);
[[nodiscard]] std::string to_text(FNumber aperture);
[[nodiscard]] std::string to_text(Iso iso);
/// "1/2000 f/8 ISO 400".
[[nodiscard]] std::string to_text(const Exposure& exposure);

/// Reads "1/2000", "1/2000 s", "0.5 s", "2 s" (a bare "2" is refused: a unit is wanted); "f/8"; a plain
/// integer.
[[nodiscard]] std::optional<Shutter> parse_shutter(std::string_view text);
[[nodiscard]] std::optional<FNumber> parse_f_number(std::string_view text);
[[nodiscard]] std::optional<Iso> parse_iso(std::string_view text);

}  // namespace noonfall::exposure
