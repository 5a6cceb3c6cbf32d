#include "tests/program/contacts/file_server.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>

#include <doctest/doctest.h>
#include <fmt/format.h>

namespace noonfall::tests {
namespace {

bool send_all(int client, std::string_view bytes) {
  while (!bytes.empty()) {
    const auto count = ::send(client, bytes.data(), bytes.size(), MSG_NOSIGNAL);
    if (count <= 0) return false;
    bytes.remove_prefix(static_cast<std::size_t>(count));
  }
  return true;
}

std::string head_of(int client) {
  std::string head;
  char block[1024];
  while (head.find("\r\n\r\n") == std::string::npos) {
    const auto count = ::recv(client, block, sizeof block, 0);
    if (count <= 0) break;
    head.append(block, static_cast<std::size_t>(count));
  }
  return head;
}

}  // namespace

FileServer::FileServer() : listening_{::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)} {
  sockaddr_in at{};
  at.sin_family = AF_INET;
  at.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  socklen_t size = sizeof at;
  REQUIRE(::bind(listening_.get(), reinterpret_cast<const sockaddr*>(&at), sizeof at) == 0);
  REQUIRE(::listen(listening_.get(), 8) == 0);
  REQUIRE(::getsockname(listening_.get(), reinterpret_cast<sockaddr*>(&at), &size) == 0);
  port_ = ntohs(at.sin_port);
  thread_ = std::jthread{[this] { run(); }};
}

FileServer::~FileServer() {
  ending_ = true;
}

void FileServer::serve(const std::string& path, Served what) {
  const std::lock_guard lock{mutex_};
  files_[path] = std::move(what);
}

std::string FileServer::address(const std::string& path) const {
  return fmt::format("http://127.0.0.1:{}{}", port_, path);
}

std::vector<std::string> FileServer::asked() const {
  const std::lock_guard lock{mutex_};
  return asked_;
}

void FileServer::run() {
  while (!ending_) {
    pollfd polled{listening_.get(), POLLIN, 0};
    if (::poll(&polled, 1, 20) != 1) continue;
    const posix::FileDescriptor client{::accept(listening_.get(), nullptr, nullptr)};
    if (client) answer(client.get());
  }
}

/// RFC 9110 14: a range asked for is answered by 206 and that part of the file, or, by a server that knows no
/// ranges, by 200 and all of it.
void FileServer::answer(int client) {
  const auto head = head_of(client);
  const auto path = head.substr(4, head.find(' ', 4) - 4);
  const auto range = head.find("Range: bytes=");
  std::size_t from = range == std::string::npos ? 0 : std::stoul(head.substr(range + 13));
  std::optional<Served> what;
  {
    const std::lock_guard lock{mutex_};
    asked_.push_back("GET " + path + (from > 0 ? fmt::format(" from {}", from) : ""));
    if (files_.contains(path)) what = files_.at(path);
  }
  if (!what)
    return void(send_all(client, "HTTP/1.1 404 Not Found\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"));
  if (!what->ranges) from = 0;
  const auto& bytes = what->bytes;
  std::string answer = from > 0
                           ? fmt::format("HTTP/1.1 206 Partial Content\r\nContent-Range: bytes {}-{}/{}\r\n",
                                         from, bytes.size() - 1, bytes.size())
                           : "HTTP/1.1 200 OK\r\n";
  if (!what->endless) answer += fmt::format("Content-Length: {}\r\n", bytes.size() - from);
  if (!send_all(client, answer + "Connection: close\r\n\r\n")) return;
  const auto until = what->cut_after.value_or(bytes.size());
  if (!send_all(client, std::string_view{bytes}.substr(from, until > from ? until - from : 0))) return;
  while (what->endless && !ending_ && send_all(client, std::string(65536, '\0'))) continue;
}

}  // namespace noonfall::tests
