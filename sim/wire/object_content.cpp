#include "sim/wire/object_content.h"

#include <algorithm>

#include "lib/time/utc_text.h"
#include "sim/wire/ptp_codes.h"

namespace noonfall::wire {

std::uint16_t object_format(const CardObject& object, std::uint16_t raw_format) {
  if (object.is_folder) return format::association;
  if (object.name.ends_with("JPG")) return format::exif_jpeg;
  return raw_format;
}

Bytes object_content(const CardObject& object, std::uint32_t offset, std::uint32_t size) {
  const auto words = "noonfall simulated picture " + object.name + ", " + to_text_us(object.captured) + "\n";
  const auto from = std::min(offset, object.size);
  Bytes bytes(std::min(size, object.size - from));
  for (std::size_t n = from; n < std::min<std::size_t>(words.size(), from + bytes.size()); ++n) {
    bytes[n - from] = static_cast<std::uint8_t>(words[n]);
  }
  return bytes;
}

}  // namespace noonfall::wire
