// The run's facts to an MQTT broker, for one who watches many sites: read-only, and never waited for.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>

#include "daemon/status/facts.h"
#include "lib/base/result.h"

namespace noonfall::publish {

struct Broker {
  std::string host;
  std::uint16_t port = 1883;  // IANA's for MQTT
  bool operator==(const Broker&) const = default;
};

/// "mqtt://HOST" or "mqtt://HOST:PORT". Errors have the code "publish".
[[nodiscard]] Result<Broker> parse_broker(std::string_view text);

class Publisher {
 public:
  /// Retained below `topic`: "…/state" is "here", or "gone" by the broker's word when the line breaks (its
  /// last will); "…/run" the facts as the page has them. A broker that isn't there is tried again for as long
  /// as this lives.
  [[nodiscard]] static Result<std::unique_ptr<Publisher>> open(const Broker& broker,
                                                               const std::string& topic);
  virtual ~Publisher() = default;  // says "gone"

  /// At most once a second; what can't be sent at once isn't sent. Never waits.
  virtual void show(const status::StatusFacts& facts) = 0;

 protected:
  Publisher() = default;
};

/// "noonfall/HOST/RUN": what its parts may not hold in MQTT is replaced.
[[nodiscard]] std::string topic_of(std::string_view host, std::string_view run);

}  // namespace noonfall::publish
