#include "daemon/gphoto/driver_error.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>

#include <fmt/format.h>

#include "lib/base/number.h"

namespace noonfall::gphoto {
namespace {

struct Code {
  std::uint16_t code;
  std::string_view said;   // how the driver's texts have it, in small letters
  std::string_view words;  // ours
};

// Responses of ISO 15740, and those of families A (0xA0xx to 0xA2xx) and B that a sequence meets.
constexpr std::array codes{
    Code{0x2019, "device busy", "the body is busy"},
    Code{0x200C, "store full", "the card is full"},
    Code{0x200E, "write protected", "the card is write-protected"},
    Code{0x200F, "access denied", "the body denies it"},
    Code{0x2013, "store not available", "there is no card"},
    Code{0x2005, "operation not supported", "the body has no such operation"},
    Code{0x201B, "invalid device property format", "the body doesn't take a value of that form"},
    Code{0x201C, "invalid device property value", "the body doesn't take that value"},
    Code{0xA002, "out of focus", "autofocus found nothing: set the lens to manual focus"},
    Code{0xA101, "battery low", "the battery is low"},
    Code{0xA200, "bulb release busy", "the body is busy with a bulb exposure"},
    Code{0xA207, "waiting for 2nd release", "the mirror is up and waits for a second release"},
};
constexpr std::string_view no_focus = "perhaps no focus";

std::string small_letters(std::string_view text) {
  std::string small{text};
  std::ranges::transform(small, small.begin(), [](unsigned char c) { return std::tolower(c); });
  return small;
}

/// Whether it can be a response at all: of the standard, or a vendor's.
bool is_response(unsigned code) {
  return (code & 0xF000U) == 0x2000 || (code & 0xF000U) == 0xA000;
}

const Code* find(std::uint16_t code) {
  const auto found = std::ranges::find(codes, code, &Code::code);
  return found == codes.end() ? nullptr : &*found;
}

std::string_view words_of_result(int code) {
  switch (code) {
    case result::bad_parameters:
      return "the driver or the body wouldn't take it";
    case result::unsupported:
      return "the driver can't do that with this body";
    case result::line_failed:
    case result::timed_out:
      return "the body didn't answer";
    case result::device_gone:
      return "the body is off the line";
    case result::claimed_elsewhere:
      return "another program holds the body";
    case result::camera_busy:
      return "the body is busy";
    default:
      return "the body refused";
  }
}

std::string first_line(std::string_view text) {
  return std::string{trim(text.substr(0, text.find('\n')))};
}

}  // namespace

std::optional<std::uint16_t> ptp_code(std::string_view text) {
  const auto small = small_letters(text);
  for (auto at = small.find("0x"); at != std::string::npos; at = small.find("0x", at + 2)) {
    unsigned code = 0;
    const char* digits = small.data() + at + 2;
    const auto read = std::from_chars(digits, small.data() + small.size(), code, 16);
    if (read.ptr - digits == 4 && is_response(code)) return static_cast<std::uint16_t>(code);
  }
  for (const auto& each : codes) {
    if (small.find(each.said) != std::string::npos) return each.code;
  }
  if (small.find(no_focus) != std::string::npos) return 0xA002;
  return std::nullopt;
}

rig::Answer answer_of(const DriverError& error) {
  if (error.code == result::device_gone) return rig::Answer::gone;
  const auto code = ptp_code(error.text);
  const bool busy = code == 0x2019 || code == 0xA200;
  if (error.code == result::camera_busy || busy) return rig::Answer::busy;
  const bool silent = error.code == result::line_failed || error.code == result::timed_out;
  return silent ? rig::Answer::no_word : rig::Answer::refused;
}

std::string words_of(const DriverError& error) {
  const auto code = ptp_code(error.text);
  if (code) {
    const auto* known = find(*code);
    return fmt::format("{} (PTP 0x{:04X})", known != nullptr ? known->words : "the body refused", *code);
  }
  const auto said = first_line(error.text);
  if (said.empty()) return fmt::format("{} (driver code {})", words_of_result(error.code), error.code);
  return fmt::format("{} (driver code {}: {})", words_of_result(error.code), error.code, said);
}

}  // namespace noonfall::gphoto
