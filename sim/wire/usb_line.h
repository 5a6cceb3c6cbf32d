// The bulk pipes of a USB body: bytes out become operations, replies become bytes in, cut as USB cuts them.
#pragma once

#include <deque>
#include <optional>

#include "sim/wire/ptp_body.h"

namespace noonfall::wire {

inline constexpr std::size_t usb_packet = 512;

class UsbLine {
 public:
  explicit UsbLine(PtpBody& body) : body_{body} {}

  /// One write of the host: a command, or data in as many writes as it likes.
  void write(ByteView bytes, Utc now);
  /// What a read of at most `most` bytes gets: never more than the rest of one container. Empty when nothing
  /// is due by now.
  [[nodiscard]] std::optional<Bytes> read(std::size_t most, Utc now);
  /// When read() will have something.
  [[nodiscard]] std::optional<Utc> readable_at() const;
  /// Forgets what is half sent and half read.
  void reset();

 private:
  void take(const Container& container, Utc now);
  void perform(const Container& command, Bytes data, Utc now);

  PtpBody& body_;
  Bytes coming_;
  std::optional<Container> command_;  // its data are still to come
  struct Outgoing {
    Utc at;
    Bytes bytes;
    std::size_t sent = 0;
  };
  std::deque<Outgoing> outgoing_;
  Utc free_from_ = Utc::min();  // the body does one operation at a time
};

}  // namespace noonfall::wire
