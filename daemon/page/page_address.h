// Where the page is served, and the secret that commands are given with.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "daemon/journal/run_folder.h"
#include "lib/base/result.h"

namespace noonfall::page {

inline constexpr const char* usual_address = "127.0.0.1:8027";
inline constexpr const char* token_name = "page.token";  // in the run's folder

struct PageAddress {
  std::string ip;  // "127.0.0.1", "::1"
  std::uint16_t port = 0;
  bool operator==(const PageAddress&) const = default;
};

/// "127.0.0.1:8027", "[::1]:8027"; port 0 lets the system choose one. "none" is no page. Errors have the code
/// "page".
[[nodiscard]] Result<std::optional<PageAddress>> parse_page_address(std::string_view text);

/// 32 hexadecimal digits of the kernel's random bytes, the same ones for as long as the run is: a page that
/// is open stays good over a restart. Kept for its owner alone.
[[nodiscard]] Result<std::string> page_token(const journal::RunFolder& folder);

}  // namespace noonfall::page
