// The records in which a body of family B tells its news: each a length, a kind, and what belongs to it.
#pragma once

#include <cstdint>
#include <optional>

#include "sim/wire/card.h"
#include "sim/wire/property_sheet.h"
#include "sim/wire/ptp_bytes.h"

namespace noonfall::wire::family_b_records {

namespace code {
enum : std::uint16_t {
  aperture = 0xD101,
  shutter = 0xD102,
  iso = 0xD103,
  program = 0xD105,
  drive = 0xD106,
  focus = 0xD108,
  battery = 0xD111,
  clock = 0xD113,
  frames_left = 0xD11B,
  destination = 0xD11C,
  image_format = 0xD120,
  live_view = 0xD1B0,
  serial = 0xD1AF,
  bracket = 0xD1D9,
};
}

/// The object format of a raw file: PTP_OFC_CANON_CR3 of libgphoto2.
inline constexpr std::uint16_t raw_file = 0xB108;

/// Image formats as one number: a byte a file, the first file's in the upper half.
inline constexpr std::uint32_t raw_format = 0x0C00;
inline constexpr std::uint32_t jpeg_format = 0x0300;
inline constexpr std::uint32_t raw_and_jpeg_format = 0x0C03;

[[nodiscard]] Bytes value_record(const PropertyDescription& property);
/// Empty for a property without a list.
[[nodiscard]] Bytes choices_record(const PropertyDescription& property);
[[nodiscard]] Bytes added_record(const CardObject& object);
[[nodiscard]] Bytes transfer_record(const CardObject& object);
[[nodiscard]] Bytes status_record(std::uint32_t status);
[[nodiscard]] Bytes focus_record(bool focused);
/// What the shutter button came to: 1 let go, 2 half way, 3 nothing, 4 a frame (library.c:5951-5977).
[[nodiscard]] Bytes button_record(std::uint16_t state);
[[nodiscard]] Bytes end_record();

/// The value a host sends for this property; empty when it isn't one.
[[nodiscard]] std::optional<std::uint32_t> read_value(std::uint32_t property, ByteView bytes);

}  // namespace noonfall::wire::family_b_records
