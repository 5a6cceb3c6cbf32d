#include "tests/unit/page/browser.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>

#include <doctest/doctest.h>
#include <fmt/format.h>

namespace noonfall::page::tests {
namespace {

constexpr int give_up_ms = 60'000;

}  // namespace

Browser::Browser(std::uint16_t port) : socket_{::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)} {
  sockaddr_in to{};
  to.sin_family = AF_INET;
  to.sin_port = htons(port);
  to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  REQUIRE(::connect(socket_.get(), reinterpret_cast<const sockaddr*>(&to), sizeof to) == 0);
}

bool Browser::send(std::string_view bytes) {
  while (!bytes.empty()) {
    const auto count = ::send(socket_.get(), bytes.data(), bytes.size(), MSG_NOSIGNAL);
    if (count <= 0) return false;
    bytes.remove_prefix(static_cast<std::size_t>(count));
  }
  return true;
}

bool Browser::more() {
  pollfd polled{socket_.get(), POLLIN, 0};
  REQUIRE(::poll(&polled, 1, give_up_ms) == 1);
  char block[4096];
  const auto count = ::recv(socket_.get(), block, sizeof block, 0);
  if (count <= 0) return false;
  got_.append(block, static_cast<std::size_t>(count));
  return true;
}

std::string Browser::rest() {
  while (more()) continue;
  return std::move(got_);
}

std::string Browser::until(std::string_view words) {
  while (got_.find(words) == std::string::npos && more()) continue;
  const auto at = got_.find(words);
  if (at == std::string::npos) return std::move(got_);
  auto head = got_.substr(0, at + words.size());
  got_.erase(0, head.size());
  return head;
}

void Browser::take_little() {
  const int size = 1;
  REQUIRE(::setsockopt(socket_.get(), SOL_SOCKET, SO_RCVBUF, &size, sizeof size) == 0);
}

std::string request(std::string_view first_line, std::uint16_t port, std::string_view more,
                    std::string_view body) {
  const auto length = body.empty() ? "" : fmt::format("Content-Length: {}\r\n", body.size());
  return fmt::format("{} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n{}{}\r\n{}", first_line, port, more, length, body);
}

std::string code_of(const std::string& answer) {
  return answer.starts_with("HTTP/1.1 ") && answer.size() > 12 ? answer.substr(9, 3) : answer;
}

}  // namespace noonfall::page::tests
