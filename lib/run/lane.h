// One rig's part of the run: which set comes next, when its order goes out, and what becomes of every frame.
#pragma once

#include <cstdint>
#include <deque>
#include <map>
#include <optional>
#include <set>
#include <string>

#include "lib/body/buffer.h"
#include "lib/order/order.h"
#include "lib/run/history.h"
#include "lib/run/pace.h"
#include "lib/run/scribe.h"
#include "lib/run/words.h"
#include "lib/timeline/timeline.h"

namespace noonfall::run {

class Lane {
 public:
  Lane(std::int32_t index, const timeline::Lane& plan);

  /// Goes on from what an earlier core did, before anything else. `other_plan`: it followed another plan,
  /// whose orders are to be called back.
  enum class Past { same_plan, other_plan };
  void resume(const PastLane& past, Past kind, Utc now, Output& out);
  /// The rig's worker came on the line with these orders; what it should hold and doesn't is lost. What it
  /// holds above `last_logged`, an earlier core asked for without a trace in the log.
  void attached(const std::vector<order::HeldOrder>& held, std::int64_t last_logged, Scribe& scribe,
                Output& out);

  /// Every report may be given to every lane: order ids are unique, and those of other rigs are passed over.
  void take(const order::Report& report, Utc now, Scribe& scribe);
  void hold(Output& out);
  void resume(Utc now, Output& out);
  void skip_step(const std::string& name, Output& out);
  void trim(Stops by);
  /// As an earlier core was told; before resume().
  void remember_hold(bool held);
  void remember_skip(const std::string& name);
  void stop(Output& out);
  /// Of a rig that has one. Anything but on calls back the frames that need it on.
  void set_filter(shotlog::FilterState state, Utc now, Output& out);

  /// Issues what is due, passes over what no longer can be, and says when to come again.
  void advance(Utc now, std::int64_t& last_order_id, Scribe& scribe, Output& out);

  [[nodiscard]] bool finished() const;
  /// When the preparations of the next order may begin, whatever the operator does meanwhile.
  [[nodiscard]] Utc next_due() const;

 private:
  using Place = std::pair<std::int32_t, std::int32_t>;  // set and frame
  [[nodiscard]] static Place place_of(const order::FrameId& id) { return {id.set, id.frame}; }
  struct Issued {
    order::Order order;
    std::string step_name;
    std::optional<std::size_t> step;  // none: of a plan no longer in force
    std::size_t shape = 0;
    std::optional<Utc> started;
    std::set<Place> open;  // frames without an outcome
    std::optional<Utc> first_opened;
    std::optional<order::FrameId> last_fired;
    Utc last_opened;
    bool cancelled = false;
    bool tried = false;  // a frame of it met another end than that its time had passed
  };
  /// A step that was begun before.
  struct Begun {
    std::vector<std::int32_t> numbers;  // of its targets' sets; 0: done, or passed over and said so
    std::int32_t last_set = 0;          // the highest number used
    bool passed_over = false;
  };
  /// Where the lane stands in its plan.
  struct Cursor {
    std::size_t step = 0;
    std::int32_t set = 0;  // sets of the step issued or passed over so far
  };
  enum class Next { issued, passed_over, wait };
  /// What a report is recognised by: order, set and frame. Steps may have another index in an amended plan.
  struct Word {
    std::int64_t order = 0;
    std::int32_t set = 0;
    std::int32_t frame = 0;
    auto operator<=>(const Word&) const = default;
  };

  // lane.cpp: what to issue
  Next advance_target(Utc now, std::int64_t& last_order_id, Scribe& scribe, Output& out);
  Next advance_back_to_back(Utc now, std::int64_t& last_order_id, Scribe& scribe, Output& out);
  [[nodiscard]] order::Order target_order(const timeline::RigStep& step,
                                          const timeline::Target& target) const;
  [[nodiscard]] order::Order back_to_back_order(const timeline::RigStep& step, Utc opening,
                                                std::size_t repeats) const;
  [[nodiscard]] std::size_t burst_length(const timeline::RigStep& step, Utc opening) const;
  [[nodiscard]] Utc predicted_opening(Utc now, const timeline::RigStep& step) const;
  [[nodiscard]] bool leaves_room(const timeline::RigStep& step, std::size_t frames, Utc opening) const;
  [[nodiscard]] std::int32_t set_number() const;
  [[nodiscard]] Issued* find_issued(std::int64_t order);
  void issue(order::Order order, std::size_t shape, std::int64_t& last_order_id, Scribe& scribe, Output& out);
  void pass_over(const timeline::RigStep& step, const timeline::Target& target, const std::string& why,
                 Scribe& scribe);
  void next_step();
  void enter_step(std::size_t step);
  [[nodiscard]] std::size_t shape_due(const timeline::RigStep& step) const;
  [[nodiscard]] static Utc overdue_from(const Issued& issued);
  void close_overdue(Utc now, Scribe& scribe, Output& out);
  [[nodiscard]] bool lacks_filter(const timeline::RigStep& step) const;
  void recover(Utc now, Scribe& scribe, Output& out);
  void warn_of_late_frame(Utc now, Scribe& scribe, Output& out);
  [[nodiscard]] bool is_unfiltered(const std::string& step) const;
  [[nodiscard]] Duration stretched(const timeline::RigStep& step, Duration predicted) const;
  void cancel(Issued& issued, const std::string& why, Output& out) const;
  void wake_at(Utc when, Output& out) const;

  // lane_reports.cpp: what came back
  void frame_done(const order::FrameDone& done, Utc now, Scribe& scribe);
  void order_done(const order::OrderDone& done);
  void refused(Utc at);
  [[nodiscard]] static shotlog::Entry word_on(shotlog::FrameName name, const order::FrameDone& done, Utc due,
                                              std::string why);
  void learn(Issued& issued, const order::FrameDone& done);
  void heard_of_body();
  void rig_changed(const order::RigState& state, Scribe& scribe);
  [[nodiscard]] shotlog::FrameName name_of(const Issued& issued, const order::FrameId& id) const;
  void give_up(Issued& issued, const std::string& why, Scribe& scribe);

  // lane_resume.cpp: what was before
  [[nodiscard]] Begun begun(const timeline::RigStep& step, const PastStep& past, Utc now) const;
  [[nodiscard]] Issued issued_before(const PastOrder& past, Past kind) const;
  [[nodiscard]] bool unsure_of_worker(Utc now, Output& out) const;
  void cancel_unlogged(const std::string& why, Output& out) const;
  void unlogged_done(const order::FrameDone& done, Utc now, Scribe& scribe);
  [[nodiscard]] Utc take_as_done(const order::FrameDone& done, Utc now);

  std::int32_t index_;
  timeline::Lane plan_;
  Cursor cursor_;
  std::deque<Issued> issued_;            // at most two
  std::map<Word, Unresolved> given_up_;  // logged as unknown: late reports may resolve them
  std::set<std::size_t> skipped_steps_;  // by the operator
  std::map<std::size_t, Begun> begun_;   // steps, before this core
  std::vector<std::vector<timeline::SetShape>> untrimmed_;
  Stops trim_{};
  bool stopped_ = false;
  Pace single_pace_;
  Pace burst_pace_;  // apart: a full buffer slows bursts only
  body::Buffer buffer_;
  bool held_ = false;
  std::optional<Utc> worker_awaited_until_;  // a later core, until it knows what the worker holds
  std::set<std::int64_t> unlogged_;          // orders that it holds and no log knows of
  Utc not_again_before_ = Utc::min();        // after orders that were refused
  int refusals_ = 0;                         // in a row
  bool away_ = false;
  bool may_fire_ = false;  // an unfiltered frame was asked for, and the body hasn't been heard of since
  bool warned_of_late_frame_ = false;  // since then
  Utc recovery_until_ = Utc::min();
  std::size_t recoveries_ = 0;  // asked for since the body went
  shotlog::FilterState filter_ = shotlog::FilterState::on;
};

}  // namespace noonfall::run
