#include "daemon/wired_body/poll_until.h"

#include <poll.h>

#include <algorithm>

namespace noonfall::wired_body {

std::vector<int> poll_until(const std::vector<int>& descriptors, Utc now, std::optional<Utc> wake) {
  std::vector<pollfd> watched;
  for (const int descriptor : descriptors) watched.push_back({descriptor, POLLIN, 0});
  timespec patience{};
  if (wake) {
    const auto left = std::max(*wake - now, Duration{});
    patience.tv_sec = std::chrono::duration_cast<std::chrono::seconds>(left).count();
    patience.tv_nsec = std::chrono::nanoseconds{left % std::chrono::seconds{1}}.count();
  }
  std::vector<int> ready;
  if (::ppoll(watched.data(), watched.size(), wake ? &patience : nullptr, nullptr) <= 0) return ready;
  for (const auto& each : watched) {
    if (each.revents != 0) ready.push_back(each.fd);
  }
  return ready;
}

}  // namespace noonfall::wired_body
