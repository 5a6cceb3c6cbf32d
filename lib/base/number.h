// Numbers as people write them, read strictly: one spelling, no surprises.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

namespace noonfall {

/// A finite decimal number: optional sign, digits, optional fraction ("-3.25", "0.5", "12"). Refused: leading
/// zeros ("0700"), "1e3", "0x10", ".5", "5.", "1_000", "1,5", "inf", "nan", surrounding space, more than 18
/// digits.
[[nodiscard]] std::optional<double> parse_decimal(std::string_view text);

/// The same without a fraction.
[[nodiscard]] std::optional<std::int64_t> parse_integer(std::string_view text);

/// Why `text` isn't a number for us, as the second half of a message ("has a leading zero"); empty if it is
/// one.
[[nodiscard]] std::string_view why_not_a_number(std::string_view text);

/// `text` without the ASCII space around it.
[[nodiscard]] std::string_view trim(std::string_view text);

}  // namespace noonfall
