#include "daemon/wired_body/body_server.h"

#include <sys/socket.h>

#include <algorithm>
#include <utility>
#include <vector>

#include "daemon/posix/boot_time.h"
#include "daemon/wired_body/poll_until.h"

namespace noonfall::wired_body {

using posix::FileDescriptor;

BodyServer::BodyServer(FileDescriptor listener, wire::PtpBody& body, wire::BusPlace place, ClockMapping clock,
                       std::function<void(const sim::RecordedFrame&)> on_picture)
    : listener_{std::move(listener)},
      body_{body},
      host_{body, place},
      clock_{clock},
      on_picture_{std::move(on_picture)} {}

Utc BodyServer::now() const {
  return clock_.utc_at(posix::boot_now());
}

void BodyServer::serve(int stop, std::optional<Duration> linger) {
  last_host_ = now();
  while (!stopping_) {
    answer_all();
    wait(stop, linger);
    if (!clients_.empty()) last_host_ = now();
    if (linger && now() - last_host_ >= *linger) return;
  }
}

void BodyServer::wait(int stop, std::optional<Duration> linger) {
  std::vector<int> watched{stop, listener_.get()};
  for (const auto& [id, client] : clients_) watched.push_back(id);
  const auto before = now();
  auto wake = host_.wake_at(before);
  if (linger && clients_.empty()) wake = std::min(wake.value_or(Utc::max()), last_host_ + *linger);
  for (const int ready : poll_until(watched, before, wake)) {
    if (ready == stop) {
      stopping_ = true;
    } else if (ready == listener_.get()) {
      accept_client();
    } else {
      hear(ready);
    }
  }
}

void BodyServer::accept_client() {
  FileDescriptor client{::accept4(listener_.get(), nullptr, nullptr, SOCK_CLOEXEC)};
  const int id = client.get();
  if (client.is_open()) clients_[id] = std::move(client);
}

void BodyServer::hear(int client) {
  wire::Bytes message(2 * wire::most_in_datagram);
  const auto size = ::recv(client, message.data(), message.size(), MSG_DONTWAIT);
  if (size <= 0) return drop(client);
  message.resize(static_cast<std::size_t>(size));
  auto request = wire::decode_line_request(message);
  if (!request) return drop(client);
  host_.take(client, std::move(*request), now());
  answer_all();
}

void BodyServer::answer_all() {
  while (auto due = host_.answer(now())) {
    const auto message = wire::encode(due->second);
    if (::send(due->first, message.data(), message.size(), MSG_NOSIGNAL) < 0) drop(due->first);
  }
  const auto& taken = body_.taken();
  while (pictures_ < taken.size()) on_picture_(taken[pictures_++]);
}

void BodyServer::drop(int client) {
  host_.leave(client);
  clients_.erase(client);
}

}  // namespace noonfall::wired_body
