#include "sim/wire/usb_line.h"

#include <algorithm>
#include <random>
#include <utility>

namespace noonfall::wire {
namespace {

constexpr std::uint32_t longest_data = 1U << 20U;  // what a host may send along: far more than any property

/// Too short for a container, or one of no known kind.
Bytes damaged(const Reply& reply, const Container& command, Damaged::How how) {
  auto bytes = encode(container(ContainerType::response, reply.response, command.transaction));
  if (how == Damaged::How::cut) bytes.resize(header_size - 4);
  if (how == Damaged::How::noise) std::ranges::for_each(bytes, [](auto& byte) { byte ^= 0xA5; });
  return bytes;
}

/// One to four bytes after the header; the same in every run.
void change_bytes(Bytes& bytes, std::uint32_t seed, std::uint32_t transaction) {
  if (bytes.size() <= header_size) return;
  std::minstd_rand random{seed * 65'537 + transaction};
  for (auto left = 1 + random() % 4; left > 0; --left)
    bytes[header_size + random() % (bytes.size() - header_size)] = static_cast<std::uint8_t>(random() >> 8U);
}

}  // namespace

void UsbLine::write(ByteView bytes, Utc now) {
  coming_.insert(coming_.end(), bytes.begin(), bytes.end());
  while (const auto length = stated_length(coming_)) {
    if (*length < header_size || *length > longest_data) return coming_.clear();
    if (coming_.size() < *length) return;
    const auto whole = decode_container(ByteView{coming_}.first(*length));
    coming_.erase(coming_.begin(), coming_.begin() + static_cast<std::ptrdiff_t>(*length));
    if (whole) take(*whole, now);
  }
}

void UsbLine::take(const Container& container, Utc now) {
  if (container.type == ContainerType::command) {
    if (body_.takes_data(container.code)) {
      command_ = container;
    } else {
      perform(container, {}, now);
    }
    return;
  }
  const auto command = std::exchange(command_, std::nullopt);
  const bool belongs = command && container.type == ContainerType::data && container.code == command->code &&
                       container.transaction == command->transaction;
  if (belongs) perform(*command, container.payload, now);
}

void UsbLine::perform(const Container& command, Bytes data, Utc now) {
  const auto started = std::max(now, free_from_);
  auto reply = body_.answer({command.code, parameters(command), std::move(data)}, started);
  if (reply.at == Utc::max()) return;
  free_from_ = reply.at;
  if (reply.damage && reply.damage->how != Damaged::How::bytes) {
    outgoing_.push_back({reply.at, damaged(reply, command, reply.damage->how)});
    return;
  }
  if (reply.data) {
    auto bytes =
        encode(Container{ContainerType::data, command.code, command.transaction, std::move(*reply.data)});
    if (reply.damage) change_bytes(bytes, reply.damage->seed, command.transaction);
    if (reply.data_late_by > Duration{} && bytes.size() > usb_packet) {
      const auto rest = bytes.begin() + usb_packet;
      outgoing_.push_back({reply.at, Bytes(bytes.begin(), rest)});
      bytes.erase(bytes.begin(), rest);
    }
    reply.at += reply.data_late_by;
    free_from_ = reply.at;
    outgoing_.push_back({reply.at, std::move(bytes)});
  }
  outgoing_.push_back({reply.at, encode(container(ContainerType::response, reply.response,
                                                  command.transaction, reply.parameters))});
}

std::optional<Bytes> UsbLine::read(std::size_t most, Utc now) {
  if (outgoing_.empty() || outgoing_.front().at > now) return std::nullopt;
  auto& next = outgoing_.front();
  const auto size = std::min(most, next.bytes.size() - next.sent);
  const auto from = next.bytes.begin() + static_cast<std::ptrdiff_t>(next.sent);
  Bytes part(from, from + static_cast<std::ptrdiff_t>(size));
  next.sent += size;
  if (next.sent == next.bytes.size()) outgoing_.pop_front();
  return part;
}

std::optional<Utc> UsbLine::readable_at() const {
  return outgoing_.empty() ? std::nullopt : std::optional{outgoing_.front().at};
}

void UsbLine::reset() {
  coming_.clear();
  command_.reset();
  outgoing_.clear();
}

}  // namespace noonfall::wire
