// Which requests the page's server answers, and which it refuses: a decision of values, whatever sent them.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace noonfall::page {

/// What counts of a request. Headers that weren't there are empty.
struct Request {
  std::string method = {};
  std::string target = {};
  std::string host = {};
  std::string origin = {};
  std::string fetch_site = {};  // Sec-Fetch-Site
  std::string content_type = {};
  std::string authorization = {};
  std::string own_header = {};  // X-Noonfall, which makes a browser ask before another site may send it
  bool one_host = true;         // there was exactly one Host
  bool two_lengths = false;     // both Content-Length and Transfer-Encoding
};

/// Of one connection.
struct Access {
  std::vector<std::string> hosts;  // that name this server there, with its port
  bool commands = false;           // may be given: it is of this machine alone
  std::string token;
};

enum class Wanted { page, style, script, icon, events, command, picture };

struct Ruling {
  std::optional<Wanted> wanted;  // none: refused
  unsigned status = 200;
  std::string words = {};  // why it is refused
  std::size_t rig = 0;     // whose picture
};

/// Watching needs the token off this machine, commanding always, and on this machine only.
[[nodiscard]] Ruling rule(const Request& request, const Access& access);

/// How long that takes doesn't tell where they differ.
[[nodiscard]] bool equal_in_constant_time(std::string_view a, std::string_view b);

}  // namespace noonfall::page
