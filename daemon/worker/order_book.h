// What a worker keeps in mind for its daemon: which orders it took, and every report until it is
// acknowledged.
#pragma once

#include <cstdint>
#include <deque>
#include <optional>
#include <string>
#include <vector>

#include "daemon/worker/words.h"

namespace noonfall::worker {

class OrderBook {
 public:
  /// Takes the order in, or says why it can't be: lib/rig holds two, with rising ids.
  [[nodiscard]] std::optional<std::string> take(const order::Order& order);

  /// Numbers a report and keeps it.
  void add(order::Report report);
  void acknowledge(std::int64_t report);

  /// A new line: every report kept is to be said again.
  void say_again() { said_ = 0; }
  /// The next report to say, which counts as said then; none when all are.
  [[nodiscard]] const NumberedReport* next_to_say();

  [[nodiscard]] std::int64_t last_order() const { return last_order_; }
  /// Those whose end isn't acknowledged: a daemon that hears of none of an order's reports would take it for
  /// lost.
  [[nodiscard]] std::vector<order::HeldOrder> held() const;
  [[nodiscard]] std::int64_t first_report() const;
  /// No order has frames left to take.
  [[nodiscard]] bool idle() const;
  [[nodiscard]] bool all_acknowledged() const { return reports_.empty(); }

 private:
  struct Taken {
    std::int64_t id = 0;
    std::optional<Utc> started;
    std::optional<std::int64_t> done_in;  // the report that ended it
  };
  Taken* find(std::int64_t id);

  std::deque<Taken> orders_;
  std::int64_t last_order_ = 0;
  std::deque<NumberedReport> reports_;
  std::size_t said_ = 0;  // of reports_
  std::int64_t last_report_ = 0;
};

}  // namespace noonfall::worker
