// What the daemon keeps in mind for one worker: the orders on their way to it, and which of its reports it
// has had.
#pragma once

#include <cstdint>
#include <deque>
#include <optional>
#include <string>
#include <vector>

#include "daemon/worker/words.h"

namespace noonfall::worker {

/// Values in, values out; the link (worker_link.h) does the talking.
class OrderDesk {
 public:
  explicit OrderDesk(std::int32_t rig) : rig_{rig} {}

  /// Waits here until take_waiting().
  void give(order::ToRig message);
  /// What may be said now, in order: it counts as said from here on.
  [[nodiscard]] std::vector<order::ToRig> take_waiting();

  /// A worker is on the line. What was said to it and never reached it waits again, and so does every cancel
  /// of an order that it holds: of those no word tells that they came. What a fresh one can't know of is
  /// dropped. The answer is what the core is told.
  [[nodiscard]] run::Attached attached(const WorkerHello& worker);
  /// The process is gone, and the orders it had with it.
  void worker_lost();

  /// The last words on orders that no worker will speak of: those that wait here and can't be taken in time
  /// any more, and, of the cancelled ones, those that wait here or went with a process.
  [[nodiscard]] std::vector<order::Report> expire(Utc now);
  /// The last words on an order that the worker wouldn't take.
  [[nodiscard]] std::vector<order::Report> refused(std::int64_t order, const std::string& why, Utc now);

  /// Whether this report is to be passed on: it hasn't been before.
  [[nodiscard]] bool is_new(const NumberedReport& report);

 private:
  [[nodiscard]] bool is_cancelled(std::int64_t order) const;

  std::int32_t rig_;
  std::optional<std::int32_t> pid_;  // of the worker last attached, while it lives
  std::deque<order::ToRig> waiting_;
  std::vector<order::Order> said_;  // without their end
  std::vector<order::Order> lost_;  // likewise, with the process; until the core hears that another came
  std::vector<order::Cancel> cancelled_;  // until their order's end is known
  std::int64_t last_report_ = 0;          // passed on
};

}  // namespace noonfall::worker
