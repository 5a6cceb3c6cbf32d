// One body on its bus, as the port drivers of its hosts ask for it: who may talk to it, and who waits for
// what.
#pragma once

#include <optional>
#include <utility>
#include <vector>

#include "sim/wire/line_messages.h"
#include "sim/wire/usb_line.h"

namespace noonfall::wire {

/// Each client has one request at a time, answered once. Only one client may have the body open.
class LineHost {
 public:
  using Client = int;

  /// Each time the body is back on the bus its address is one up.
  LineHost(PtpBody& body, BusPlace first) : body_{body}, line_{body}, first_{first} {}

  void take(Client client, LineRequest request, Utc now);
  void leave(Client client);
  /// The next answer that is due.
  [[nodiscard]] std::optional<std::pair<Client, LineAnswer>> answer(Utc now);
  /// When there may be an answer although nobody asks anything new; empty while nobody waits.
  [[nodiscard]] std::optional<Utc> wake_at(Utc now) const;

 private:
  struct Waiting {
    Client client;
    LineRequest request;
    Utc until;
  };

  [[nodiscard]] std::optional<LineAnswer> try_answer(const Waiting& waiting, Utc now);
  [[nodiscard]] std::optional<LineAnswer> transfer(const Waiting& waiting, Utc now);
  [[nodiscard]] LineAnswer open(Client client, std::uint32_t address, Utc now);
  [[nodiscard]] std::optional<BusPlace> place(Utc now) const;
  [[nodiscard]] bool has_open(Client client, Utc now) const;

  PtpBody& body_;
  UsbLine line_;
  BusPlace first_;
  struct Claim {
    Client client;
    std::uint32_t address;
  };
  std::optional<Claim> claim_;
  std::vector<Waiting> waiting_;
};

}  // namespace noonfall::wire
