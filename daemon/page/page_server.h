// The watch page's server, on a thread of its own: whatever a client does, the run never waits for it.
#pragma once

#include <functional>
#include <memory>
#include <string>

#include "daemon/operator/answer.h"
#include "daemon/page/page_address.h"
#include "daemon/status/facts.h"
#include "lib/base/result.h"
#include "lib/time/utc.h"

namespace noonfall::page {

struct PageLimits {
  Duration request = std::chrono::seconds{5};    // to send a whole one
  Duration progress = std::chrono::seconds{10};  // a client that takes nothing for so long is cut
  std::size_t watchers = 8;
  std::size_t connections = 32;
  std::size_t header_bytes = 8192;
  std::size_t body_bytes = 2 * control::longest_command;
};

using Reply = std::function<void(control::Answer)>;

class PageServer {
 public:
  /// Called on the server's thread with what a person said there; the reply may come on any, late or never.
  using Obey = std::function<void(std::string words, Reply)>;

  /// Errors ("page", of the environment): it can't be listened there.
  [[nodiscard]] static Result<std::unique_ptr<PageServer>> open(const PageAddress& address, std::string token,
                                                                Obey obey, PageLimits limits = {});
  virtual ~PageServer() = default;  // cuts every client

  /// To everybody who watches; who is slow gets only the newest. Never waits.
  virtual void show(status::StatusFacts facts) = 0;
  /// With the port that was given: "http://127.0.0.1:8027/".
  [[nodiscard]] virtual std::string address() const = 0;

 protected:
  PageServer() = default;
};

}  // namespace noonfall::page
