#include <charconv>

#include "daemon/gphoto/session.h"

namespace noonfall::gphoto {
namespace {

/// Of "0x9207 (…)".
std::optional<std::uint32_t> number_of(std::string_view text) {
  if (!text.starts_with("0x")) return std::nullopt;
  std::uint32_t number = 0;
  text.remove_prefix(2);
  const auto read = std::from_chars(text.data(), text.data() + text.size(), number, 16);
  return read.ec == std::errc{} ? std::optional{number} : std::nullopt;
}

}  // namespace

/// As camlibs/ptp2/library.c of libgphoto2 2.5.30 writes them, print_debug_deviceinfo().
void read_debug_line(std::string_view line, About& about, bool& among_operations) {
  const auto after = [&](std::string_view words) -> std::optional<std::string_view> {
    if (!line.starts_with(words)) return std::nullopt;
    return line.substr(words.size());
  };
  if (const auto extension = after("Vendor extension ID: ")) {
    about.extension = number_of(*extension).value_or(0);
  } else if (const auto maker = after("Manufacturer: ")) {
    about.maker = std::string{*maker};
  } else if (const auto model = after("  Model: ")) {
    about.model = std::string{*model};
  } else if (after("Supported operations:")) {
    about.operations.clear();
    among_operations = true;
    return;
  } else if (const auto operation = after("  "); operation && among_operations) {
    if (const auto code = number_of(*operation)) about.operations.insert(static_cast<std::uint16_t>(*code));
    return;
  }
  if (!line.starts_with("  ")) among_operations = false;
}

}  // namespace noonfall::gphoto
