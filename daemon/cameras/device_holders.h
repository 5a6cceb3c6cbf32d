// Which programs hold a device file, so that a body that can't be opened has a name to blame.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace noonfall::cameras {

struct Holder {
  int pid = 0;
  std::string name;
  bool operator==(const Holder&) const = default;
};

/// "usb:001,005" is /dev/bus/usb/001/005; nothing for other ports.
[[nodiscard]] std::optional<std::string> device_file(std::string_view port);

/// Those whose open files we may see: our own, or all for the superuser. By pid, without us.
[[nodiscard]] std::vector<Holder> holders_of(const std::string& device, const std::string& proc = "/proc");

/// What to do about them, in words.
[[nodiscard]] std::string cure(const std::vector<Holder>& holders);

}  // namespace noonfall::cameras
