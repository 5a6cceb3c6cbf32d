#include "daemon/page/page_address.h"

#include <sys/random.h>

#include <array>
#include <charconv>
#include <system_error>

#include <fmt/format.h>
#include <boost/asio/ip/address.hpp>

namespace noonfall::page {
namespace {

constexpr std::size_t token_bytes = 16;

Failure no_address(std::string_view text) {
  return fail(error_at({}, "page", fmt::format("\"{}\" is no address for the page", text),
                       "ADDRESS:PORT like 127.0.0.1:8027 or [::1]:8027, or none"));
}

std::optional<std::uint16_t> parse_port(std::string_view text) {
  std::uint16_t port = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), port);
  if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return port;
}

bool is_token(std::string_view text) {
  return text.size() == 2 * token_bytes &&
         text.find_first_not_of("0123456789abcdef") == std::string_view::npos;
}

}  // namespace

Result<std::optional<PageAddress>> parse_page_address(std::string_view text) {
  if (text == "none") return std::optional<PageAddress>{};
  const auto colon = text.rfind(':');
  if (colon == std::string_view::npos) return no_address(text);
  auto host = text.substr(0, colon);
  const bool bracketed = host.size() > 2 && host.front() == '[' && host.back() == ']';
  if (bracketed) host = host.substr(1, host.size() - 2);
  boost::system::error_code wrong;
  const auto ip = boost::asio::ip::make_address(std::string{host}, wrong);
  const auto port = parse_port(text.substr(colon + 1));
  if (wrong || ip.is_v6() != bracketed || !port) return no_address(text);
  return std::optional{PageAddress{ip.to_string(), *port}};
}

Result<std::string> page_token(const journal::RunFolder& folder) {
  const auto kept = folder.read(token_name, 1024);
  if (kept && *kept && is_token(**kept)) return **kept;
  std::array<unsigned char, token_bytes> bytes{};
  if (::getrandom(bytes.data(), bytes.size(), 0) != static_cast<ssize_t>(bytes.size()))
    return fail(error_at({}, "page", "the system has no random bytes for the page's token"));
  std::string token;
  for (const auto byte : bytes) token += fmt::format("{:02x}", byte);
  if (const auto written = folder.write_atomically(token_name, token); !written) return fail(written.error());
  return token;
}

}  // namespace noonfall::page
