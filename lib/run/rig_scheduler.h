// One rig's part of the run: gives out its orders as they come due, and writes down what becomes of every
// frame.
#pragma once

#include <cstdint>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "lib/order/order.h"
#include "lib/run/body_pace.h"
#include "lib/run/history.h"
#include "lib/run/input_output.h"
#include "lib/run/log_writer.h"
#include "lib/run/order_tracker.h"
#include "lib/run/planner.h"
#include "lib/run/progress.h"
#include "lib/run/recovery_ladder.h"
#include "lib/run/restraint.h"
#include "lib/timeline/timeline.h"

namespace noonfall::run {

class RigScheduler {
 public:
  RigScheduler(std::int32_t index, const timeline::RigTimeline& plan, bool can_cycle_power, bool has_spare);

  /// Goes on from what an earlier core did, before anything else.
  void resume(const PastRig& past, Past kind, Utc now, Output& out);
  /// The rig's worker came on the line with these orders; what it should hold and doesn't is lost. What it
  /// holds above `last_logged`, an earlier core asked for without a trace in the log.
  void attached(const std::vector<order::HeldOrder>& held, std::int64_t last_logged, LogWriter& log,
                Output& out);

  /// Every report may be given to every rig: order ids are unique, and those of other rigs are passed over.
  void take(const order::Report& report, Utc now, LogWriter& log);
  void hold(Output& out);
  void resume(Utc now, Output& out);
  void skip_step(const std::string& name, Output& out);
  void trim(Stops by);
  [[nodiscard]] Stops trim() const { return trim_; }
  void stop(Output& out);
  /// Of a rig that has one. Anything but on calls back the frames that need it on.
  void set_filter(shotlog::FilterState state, Utc now, Output& out);

  /// Issues what is due, passes over what no longer can be, and says when to come again.
  void advance(Utc now, std::int64_t& last_order_id, LogWriter& log, Output& out);

  /// When the preparations of the next order may begin, whatever the operator does meanwhile.
  [[nodiscard]] Utc next_due() const;
  /// Whether a person is to look after the body; once for each time.
  [[nodiscard]] bool take_request() { return std::exchange(asks_, false); }
  [[nodiscard]] bool finished() const { return plan_is_over() && orders_.orders().empty(); }

 private:
  [[nodiscard]] bool plan_is_over() const { return progress_.step() == plan_.steps.size(); }
  [[nodiscard]] const timeline::RigStep& step_at_hand() const { return plan_.steps[progress_.step()]; }
  [[nodiscard]] bool advance_plan(Utc now, std::int64_t& last_order_id, LogWriter& log, Output& out);
  void issue(Issue next, Utc now, std::int64_t& last_order_id, LogWriter& log, Output& out);
  void leave_set(std::optional<shotlog::SkipReason> why, LogWriter& log);
  void leave_step(std::optional<shotlog::SkipReason> why, LogWriter& log);
  void recover(Utc now, LogWriter& log, Output& out);
  void warn_of_late_frame(Utc now, LogWriter& log, Output& out);

  void order_started(const order::OrderStarted& started);
  void frame_done(const order::FrameDone& done, Utc now, LogWriter& log);
  void late_frame_done(const order::FrameDone& done, Utc now, LogWriter& log);
  void unlogged_done(const order::FrameDone& done, Utc now, LogWriter& log);
  void order_done(const order::OrderDone& done, LogWriter& log);
  void came_to_nothing(const IssuedOrder& issued, Utc when, LogWriter& log);
  void rig_changed(const order::RigState& state, Utc now, LogWriter& log);
  void tell_left_out(Utc now, LogWriter& log, Output& out);
  void look_at_exposure(const IssuedOrder& issued, const order::FrameDone& done,
                        const exposure::Exposure& asked, LogWriter& log);
  void learn(IssuedOrder& issued, const order::FrameDone& done);
  void fill_buffer(Utc at);
  void heard_of_body();

  std::int32_t index_;
  timeline::RigTimeline plan_;
  std::vector<std::vector<timeline::SetShape>> untrimmed_;
  Stops trim_{};
  Progress progress_;
  OrderTracker orders_;
  BodyPace pace_;
  RecoveryLadder recovery_;
  Restraint restraint_;
  LineRation faults_;
  std::set<std::string> skipped_;  // steps, by the operator
  bool held_ = false;
  bool asks_ = false;
  shotlog::FilterState filter_ = shotlog::FilterState::on;
  bool warned_of_late_frame_ = false;  // since the body was heard of
  std::string exposed_wrongly_;        // the last step that was said of
};

}  // namespace noonfall::run
