// How a run stands, by its plan and the account of its log.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "daemon/status/facts.h"
#include "lib/shotlog/account.h"
#include "lib/timeline/timeline.h"

namespace noonfall::status {

class StatusLedger {
 public:
  /// Going on from what the log held `before`.
  explicit StatusLedger(const timeline::Timeline& timeline, shotlog::Mode mode = shotlog::Mode::event,
                        shotlog::Account before = {});

  /// In their order.
  void take(const shotlog::Line& line) { account_.take(line); }
  /// Of the daemon itself, not of the log; until it is over.
  void alarm(Utc at, std::string words) { own_alarm_ = Alarm{at, std::move(words)}; }
  void alarm_over() { own_alarm_.reset(); }

  /// Everything but the local clock, the clock's source, the speed and the bodies' levels. A rig is
  /// `starting` until a line says that its body is ready.
  [[nodiscard]] StatusFacts facts(Utc now) const;
  [[nodiscard]] const shotlog::Account& account() const { return account_; }

 private:
  [[nodiscard]] RigStatus status_of(const timeline::RigTimeline& planned, Utc now) const;
  [[nodiscard]] std::vector<Alarm> alarms() const;
  [[nodiscard]] std::string said_at(const timeline::Cue& cue) const;
  [[nodiscard]] std::optional<Call> next_words(Utc now) const;
  [[nodiscard]] std::optional<Call> next_hands(Utc now) const;
  [[nodiscard]] std::optional<Call> last_words() const;
  void fill_schedule(const timeline::RigTimeline& rig, Utc now, RigStatus& out) const;

  timeline::Timeline timeline_;
  shotlog::Mode mode_;
  shotlog::Account account_;
  std::optional<Alarm> own_alarm_;
};

}  // namespace noonfall::status
