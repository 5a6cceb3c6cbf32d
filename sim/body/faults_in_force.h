// Which of a body's faults act at an instant, and how often each may still act.
#pragma once

#include <optional>
#include <vector>

#include "sim/body/fault.h"

namespace noonfall::sim {

/// Asking whether a fault strikes uses it up once, if it is a counted one and it does.
class FaultsInForce {
 public:
  explicit FaultsInForce(std::vector<Fault> faults);

  [[nodiscard]] bool busy(Utc now);
  [[nodiscard]] bool refuses(const SettingValue& value, Utc now);
  [[nodiscard]] std::optional<LostFrame::Sign> loses(Utc opening);

  [[nodiscard]] bool gone(Utc instant) const;
  /// The earliest instant in (after, until] at which the body goes off the line.
  [[nodiscard]] std::optional<Utc> goes(Utc after, Utc until) const;

 private:
  std::vector<Fault> faults_;
};

}  // namespace noonfall::sim
