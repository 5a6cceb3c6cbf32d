#include "sim/wire/line_host.h"

#include <algorithm>

namespace noonfall::wire {
namespace {

using Verb = LineRequest::Verb;

// Who waits learns this soon that the body has gone.
constexpr Duration presence_check = std::chrono::milliseconds{20};

}  // namespace

void LineHost::take(Client client, LineRequest request, Utc now) {
  const auto until = now + std::chrono::milliseconds{request.timeout_ms};
  waiting_.push_back({client, std::move(request), until});
}

void LineHost::leave(Client client) {
  std::erase_if(waiting_, [&](const Waiting& waiting) { return waiting.client == client; });
  if (claim_ && claim_->client == client) claim_.reset();
}

std::optional<std::pair<LineHost::Client, LineAnswer>> LineHost::answer(Utc now) {
  for (auto waiting = waiting_.begin(); waiting != waiting_.end(); ++waiting) {
    auto answer = try_answer(*waiting, now);
    if (!answer) continue;
    const auto client = waiting->client;
    waiting_.erase(waiting);
    return std::pair{client, std::move(*answer)};
  }
  return std::nullopt;
}

std::optional<Utc> LineHost::wake_at(Utc now) const {
  std::optional<Utc> wake;
  const auto sooner = [&](std::optional<Utc> at) {
    if (at && (!wake || *at < *wake)) wake = at;
  };
  for (const auto& waiting : waiting_) {
    sooner(std::min(waiting.until, now + presence_check));
    sooner(waiting.request.verb == Verb::read ? line_.readable_at() : body_.next_event_at());
  }
  return wake;
}

std::optional<LineAnswer> LineHost::try_answer(const Waiting& waiting, Utc now) {
  const auto at = place(now);
  switch (waiting.request.verb) {
    case Verb::who:
      return at ? LineAnswer{port::ok, encode(*at)} : LineAnswer{port::no_device};
    case Verb::open:
      return open(waiting.client, waiting.request.most, now);
    case Verb::close:
      if (claim_ && claim_->client == waiting.client) claim_.reset();
      return LineAnswer{};
    default:
      return has_open(waiting.client, now) ? transfer(waiting, now) : LineAnswer{port::no_device};
  }
}

std::optional<LineAnswer> LineHost::transfer(const Waiting& waiting, Utc now) {
  const auto& request = waiting.request;
  if (request.verb == Verb::reset) {
    line_.reset();
    return LineAnswer{};
  }
  if (request.verb == Verb::write) {
    line_.write(request.bytes, now);
    return LineAnswer{};
  }
  std::optional<Bytes> bytes;
  if (request.verb == Verb::read) {
    bytes = line_.read(request.most, now);
  } else if (const auto event = body_.event(now)) {
    bytes = encode(*event);
  }
  if (bytes) return LineAnswer{port::ok, std::move(*bytes)};
  return now < waiting.until ? std::nullopt : std::optional{LineAnswer{port::timeout}};
}

LineAnswer LineHost::open(Client client, std::uint32_t address, Utc now) {
  const auto at = place(now);
  if (!at || at->address != address) return {port::no_device};
  if (claim_ && claim_->client != client && claim_->address == address) return {port::claimed};
  claim_ = Claim{client, address};
  line_.reset();
  return {};
}

std::optional<BusPlace> LineHost::place(Utc now) const {
  const auto presence = body_.presence(now);
  if (!presence.there) return std::nullopt;
  auto place = first_;
  place.address = static_cast<std::uint16_t>(place.address + presence.returns);
  return place;
}

bool LineHost::has_open(Client client, Utc now) const {
  const auto at = place(now);
  return at && claim_ && claim_->client == client && claim_->address == at->address;
}

}  // namespace noonfall::wire
