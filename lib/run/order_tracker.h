// What was asked of a rig and has had no last word: kept until the rig, its worker's end or the clock says
// it.
#pragma once

#include <cstdint>
#include <deque>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "lib/order/order.h"
#include "lib/run/history.h"
#include "lib/run/input_output.h"
#include "lib/run/log_writer.h"
#include "lib/timeline/timeline.h"

namespace noonfall::run {

struct IssuedOrder {
  order::Order order;
  std::string step_name;
  std::optional<std::size_t> step;  // none: of a plan no longer in force
  std::size_t shape = 0;
  bool unfiltered = false;
  std::optional<Utc> started;
  std::set<std::int32_t> open;  // frames without an outcome
  std::optional<Utc> first_opened;
  std::int32_t last_fired = 0;
  Utc last_opened;
  bool cancelled = false;
  bool tried = false;  // a frame of it met another end than that its time had passed
  int taken = 0;       // frames whose shutter worked, as far as is known
  Utc issued;
};

/// An earlier core's plan, whose orders stay, or another, whose orders are called back.
enum class Past { same_plan, other_plan };

/// Of one rig.
class OrderTracker {
 public:
  OrderTracker(std::int32_t index, const timeline::RigTimeline& plan);

  /// Goes on with the orders of an earlier core, and awaits the worker that may hold them.
  void resume(const timeline::RigTimeline& plan, const PastRig& past, Past kind, Utc now);
  void attached(const std::vector<order::HeldOrder>& held, std::int64_t last_logged, LogWriter& log,
                Output& out);
  /// Nothing is asked for before it is known what an earlier core asked for.
  [[nodiscard]] bool unsure_of_worker(Utc now, Output& out) const;

  void issue(IssuedOrder issued, LogWriter& log, Output& out);
  void cancel(IssuedOrder& issued, const std::string& why, Output& out) const;
  template <class Which>
  void cancel_if(Which which, shotlog::SkipReason why, Output& out) {
    for (auto& issued : issued_)
      if (which(issued)) cancel(issued, sentence(why), out);
  }
  void cancel_all(shotlog::SkipReason why, Output& out);
  /// What the worker holds and no log knows of.
  void cancel_unlogged(shotlog::SkipReason why, Output& out) const;
  [[nodiscard]] IssuedOrder* find(std::int64_t order);
  void done(std::int64_t order);
  /// Gives up what is long overdue. The rig may still be at work on it: it is told to take no more frames.
  void close_overdue(Utc now, LogWriter& log, Output& out);
  void wake_when_overdue(Output& out) const;

  /// The frame of an order in `issued` the report is on, if no report on it came before.
  [[nodiscard]] static const order::OrderedFrame* take_open(IssuedOrder& issued, const order::FrameId& id);
  /// A frame given up as unknown before, which the late report resolves.
  [[nodiscard]] std::optional<Unresolved> take_given_up(const order::FrameDone& done);
  /// Asked for by an earlier core without a trace in the log.
  [[nodiscard]] bool is_unlogged(std::int64_t order) const { return unlogged_.contains(order); }
  [[nodiscard]] shotlog::FrameName name_of(const IssuedOrder& issued, const order::FrameId& id) const;

  [[nodiscard]] const std::deque<IssuedOrder>& orders() const { return issued_; }
  [[nodiscard]] bool full() const;
  [[nodiscard]] std::size_t open_frames() const;

  /// A frame taken without the filter may still come: asked for, and without a word from the body since.
  [[nodiscard]] bool may_fire_unfiltered() const;
  void heard_of_body() { may_fire_ = false; }
  void left_in_doubt(const IssuedOrder& issued) { may_fire_ = may_fire_ || issued.unfiltered; }

 private:
  void give_up(IssuedOrder& issued, const std::string& why, LogWriter& log);

  std::int32_t index_;
  std::string rig_;
  std::deque<IssuedOrder> issued_;           // at most two
  std::vector<Unresolved> given_up_;         // logged as unknown: late reports may resolve them
  std::optional<Utc> worker_awaited_until_;  // a later core, until it knows what the worker holds
  std::set<std::int64_t> unlogged_;          // orders that it holds and no log knows of
  bool may_fire_ = false;
};

}  // namespace noonfall::run
