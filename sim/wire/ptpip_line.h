// The two network connections of a body that speaks PTP/IP (CIPA DC-005): packets in, packets out.
#pragma once

#include <deque>
#include <map>
#include <optional>

#include "sim/wire/ptp_body.h"

namespace noonfall::wire {

/// A host opens one connection for operations and one for events; each says by its first packet which it is.
class PtpipLine {
 public:
  using Connection = int;

  explicit PtpipLine(PtpBody& body) : body_{body} {}

  /// Bytes as they came. False: they are no PTP/IP, the connection is to be closed.
  [[nodiscard]] bool take(Connection connection, ByteView bytes, Utc now);
  void leave(Connection connection);

  struct Outgoing {
    Utc at;
    Connection connection = 0;
    Bytes bytes;
  };
  /// What is due next.
  [[nodiscard]] std::optional<Outgoing> next(Utc now);
  [[nodiscard]] std::optional<Utc> next_at() const;

 private:
  struct Packet {
    std::uint32_t type = 0;
    Bytes content;
  };
  struct Incomplete {
    Request request;
    std::uint32_t transaction = 0;
  };

  bool take_packet(Connection connection, const Packet& packet, Utc now);
  bool begin_operation(Connection connection, ByteReader content, Utc now);
  bool take_data(const Packet& packet, Utc now);
  void perform(const Request& request, std::uint32_t transaction, Utc now);
  void send(Connection connection, Utc at, std::uint32_t type, Bytes content);

  PtpBody& body_;
  std::map<Connection, Bytes> coming_;
  std::optional<Connection> operations_;
  std::optional<Connection> events_;
  std::optional<Incomplete> incomplete_;  // its data are still to come
  std::deque<Outgoing> outgoing_;
  Utc free_from_ = Utc::min();  // the body does one operation at a time
};

}  // namespace noonfall::wire
