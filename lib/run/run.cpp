#include "lib/run/run.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "lib/base/code_points.h"
#include "lib/base/match.h"

namespace noonfall::run {
namespace {

using shotlog::Hold, shotlog::Resume, shotlog::Trim, shotlog::SkipStep, shotlog::SetFilter, shotlog::ClockOk,
    shotlog::Stop;

/// A core may have died with a log that a full disk kept from growing: the next one leaves these numbers to
/// the orders it doesn't know of.
constexpr std::int64_t room_for_unlogged = 1000;

/// Far more than a person says, and yet no more than some ten megabytes in a day.
constexpr Duration ration_span = std::chrono::seconds{10};
constexpr std::int64_t most_carried_out = 50;
constexpr std::int64_t most_talk = 20;      // refused commands, and remarks
constexpr std::size_t longest_note = 1000;  // bytes

std::string cut(std::string words) {
  return words.size() <= longest_note ? std::move(words)
                                      : std::string{first_bytes(words, longest_note)} + " …";
}

std::string why_amended(const shotlog::Header& before, const shotlog::Header& after) {
  std::string why;
  const auto add = [&](bool changed, const char* what) {
    if (changed) why += (why.empty() ? "" : ", ") + std::string{what};
  };
  add(before.plan_hash != after.plan_hash, "the plan was changed");
  add(before.site != after.site, "the site was moved");
  const auto bodies = [](const shotlog::Header& header) {
    std::vector<std::string> all;
    for (const auto& rig : header.rigs) all.push_back(rig.rig + '\n' + rig.profile_hash);
    return all;
  };
  add(bodies(before) != bodies(after), "the rigs have other bodies");
  return why.empty() ? "the contacts or settings are other ones" : why;
}

}  // namespace

Run::Run(const timeline::Timeline& timeline, const Facts& facts, shotlog::ClockState clock)
    : plans_{timeline.rigs},
      left_out_{timeline.skipped},
      language_{timeline.language},
      header_{header_of(timeline, facts)},
      sky_{timeline.circumstances},
      voice_{.there = facts.voice},
      cues_{timeline.cues},
      carried_out_{most_carried_out, ration_span},
      refused_{most_talk, ration_span},
      remarks_{most_talk, ration_span} {
  log_.set_clock(clock);
  for (std::size_t n = 0; n < plans_.size(); ++n) {
    rigs_.emplace_back(static_cast<std::int32_t>(n), plans_[n], facts.can_cycle_power,
                       n < facts.spares.size() && !facts.spares[n].empty());
    if (const auto& light = plans_[n].filtered_light) watches_.emplace(n, light->magnitudes_per_airmass);
    if (plans_[n].has_filter) filters_.emplace(plans_[n].name, CameraFilter{timeline, n, facts.mode});
  }
}

Run::Run(const timeline::Timeline& timeline, const Facts& facts, shotlog::ClockState clock,
         shotlog::Account before)
    : Run{timeline, facts, clock} {
  before_ = std::move(before);
}

Output Run::step(Utc now, std::span<const Input> inputs) {
  Output out;
  log_.begin(now);
  if (!begun_) begin(now, out);
  tell_left_out(now, out);
  for (const auto& input : inputs) take(input, now, out);
  advance_filters(now, out);
  if (!stopping_) cues_.advance(now, voice_, log_, out);
  for (auto& rig : rigs_) {
    rig.advance(now, last_order_id_, log_, out);
    if (rig.take_request())
      ask_for_hands(static_cast<std::size_t>(&rig - rigs_.data()), timeline::Sentence::look_after, now, out);
    out.next_due.push_back(rig.next_due());
  }
  const bool done =
      (stopping_ || cues_.finished()) &&
      std::all_of(rigs_.begin(), rigs_.end(), [](const RigScheduler& rig) { return rig.finished(); }) &&
      std::all_of(filters_.begin(), filters_.end(), [](const auto& each) { return each.second.finished(); });
  tell_left_out(done ? Utc::max() : now, out);
  if (done && !finished_)
    log_.write(shotlog::Ended{stopping_ ? shotlog::RunEnd::stopped : shotlog::RunEnd::done});
  finished_ = finished_ || done;
  out.finished = finished_;
  out.lines = log_.take_lines();
  return out;
}

void Run::begin(Utc now, Output& out) {
  begun_ = true;
  if (before_) {
    go_on(now, out);
    const auto plan = before_->plan();
    if (is_same_plan(plan, header_)) return;
    log_.write(shotlog::Amendment{header_, why_amended(plan, header_)});
  } else {
    log_.write(header_);
    for (auto& [rig, filter] : filters_) filter.begin(log_);
  }
  for (const auto& left : left_out_)
    log_.write(
        shotlog::Skip{{left.rig, left.step, 0, 0}, std::nullopt, shotlog::SkipReason::not_here, left.why});
}

void Run::go_on(Utc now, Output& out) {
  log_.go_on_after(before_->last_seq);
  last_logged_order_ = before_->last_order;
  last_order_id_ = last_logged_order_ + room_for_unlogged;
  cues_.resume(before_->cues);
  resume_filters();
  const auto kind = is_same_plan(before_->plan(), header_) ? Past::same_plan : Past::other_plan;
  for (std::size_t n = 0; n < rigs_.size(); ++n)
    rigs_[n].resume(past_of(*before_, plans_[n].name), kind, now, out);
  give_up_other_rigs();
}

/// What became of a filter is no matter of the plan in force: one that an earlier plan let come off goes on.
void Run::resume_filters() {
  for (const auto& [rig, account] : before_->rigs) {
    const auto& filter = account.filter;
    if (filter.state && (filter.state != shotlog::FilterState::on || filter.coming_off))
      filters_.try_emplace(rig, rig, header_.mode, language_);
  }
  for (auto& [rig, filter] : filters_) filter.resume(*before_, log_);
}

void Run::advance_filters(Utc now, Output& out) {
  for (auto& [rig, filter] : filters_) filter.advance(now, voice_, log_, out);
  out.filters_on =
      std::all_of(filters_.begin(), filters_.end(), [](const auto& each) { return each.second.at_rest(); });
  for (std::size_t n = 0; n < rigs_.size(); ++n) {
    const auto filter = filters_.find(plans_[n].name);
    if (filter != filters_.end() && plans_[n].has_filter)
      rigs_[n].set_filter(filter->second.state(), now, out);
  }
}

void Run::give_up_windows() {
  for (auto& [rig, filter] : filters_) filter.give_up_window();
}

/// Frames asked of rigs that the plan has no more.
void Run::give_up_other_rigs() {
  for (const auto& [name, frame] : before_->frames) {
    const auto& rig = name.rig;
    if (std::any_of(plans_.begin(), plans_.end(), [&](const auto& plan) { return plan.name == rig; }))
      continue;
    if (frame.last) continue;
    log_.write(shotlog::FrameOutcome{.frame = name,
                                     .result = order::Outcome::unknown,
                                     .due = frame.asked->due,
                                     .exposure = frame.asked->exposure,
                                     .why = "the rig is not in the plan any more"});
  }
}

shotlog::CommandNames Run::names() const {
  shotlog::CommandNames names;
  for (const auto& plan : plans_) {
    names.rigs.push_back(plan.name);
    for (const auto& step : plan.steps) names.steps.push_back(step.name);
  }
  return names;
}

void Run::take(const Input& input, Utc now, Output& out) {
  std::visit(Match{[&](const order::Report& report) {
                     for (auto& rig : rigs_) rig.take(report, now, log_);
                   },
                   [&](const Request& request) { take(request, now, out); },
                   [&](const ClockChange& change) {
                     log_.set_clock(change.state);
                     log_.write(shotlog::ClockLine{change.why, change.stamp});
                   },
                   [&](const Attached& attached) {
                     last_order_id_ = std::max(last_order_id_, attached.last_order);
                     if (auto* rig = rig_of(attached.rig))
                       rig->attached(attached.held, last_logged_order_, log_, out);
                   },
                   [&](const Remark& remark) { note(remark.words, remarks_, now); },
                   [&](const Misheard& misheard) {
                     note(fmt::format("the operator said \"{}\": {}", misheard.words, misheard.why), refused_,
                          now);
                   },
                   [&](const Leaving& /*now*/) { give_up_windows(); },
                   [&](const Rendered& words) { voice_.ready[words.words] = words.lasts; },
                   [&](const Voiced& voiced) { take(voiced); },
                   [&](const PictureSeen& looked) { take(looked, now, out); },
                   [&](const VoiceLost& lost) {
                     voice_.ready.clear();
                     note(lost.why, remarks_, now);
                   }},
             input);
}

RigScheduler* Run::rig_of(std::int32_t rig) {
  return rig >= 0 && static_cast<std::size_t>(rig) < rigs_.size() ? &rigs_[static_cast<std::size_t>(rig)]
                                                                  : nullptr;
}

/// None too for a command of no one rig.
RigScheduler* Run::rig_of(const shotlog::Command& command) {
  const auto* name = shotlog::rig_of(command);
  for (std::size_t n = 0; name != nullptr && n < plans_.size(); ++n) {
    if (plans_[n].name == *name) return &rigs_[n];
  }
  return nullptr;
}

void Run::take(const Request& request, Utc now, Output& out) {
  const auto why = why_not(request, now);
  if (why.empty() || refused_.admit(now)) log_.write(shotlog::CommandLine{request.command, why});
  if (why.empty()) carry_out(request.command, now, out);
  out.replies.push_back(why);
}

void Run::note(std::string words, LineRation& ration, Utc now) {
  if (ration.admit(now)) log_.write(shotlog::Note{cut(std::move(words))});
}

void Run::tell_left_out(Utc now, Output& out) {
  const auto tell = [&](LineRation& ration, const char* what) {
    if (const auto count = ration.take_left_out(now); count > 0) {
      log_.write(shotlog::Note{fmt::format("{} more {} are left out of the log: {} in {:.0f} s are logged",
                                           count, what, most_talk, in_seconds(ration_span))});
    }
    if (const auto due = ration.due()) out.wake_at(*due);
  };
  tell(refused_, "refused commands");
  tell(remarks_, "remarks");
}

/// The first stop is never.
bool Run::is_one_too_many(const shotlog::Command& command, Utc now) {
  return !carried_out_.admit(now) && (stopping_ || !std::holds_alternative<Stop>(command));
}

/// Why the command can't be carried out; empty when it can.
std::string Run::why_not(const Request& request, Utc now) {
  const auto& [command, refused] = request;
  if (!refused.empty()) return refused;
  const auto* rig = rig_of(command);
  if (rig == nullptr && shotlog::rig_of(command) != nullptr) return "there is no such rig";
  if (std::holds_alternative<SetFilter>(command) &&
      !plans_[static_cast<std::size_t>(rig - rigs_.data())].has_filter)
    return "the rig has no camera filter";
  if (const auto* skip = std::get_if<SkipStep>(&command)) {
    const auto known = names().steps;
    if (std::find(known.begin(), known.end(), skip->step) == known.end()) return "there is no such step";
  }
  if (is_one_too_many(command, now)) {
    return fmt::format("{} commands in {:.0f} s are carried out and no more: say it again in a moment",
                       most_carried_out, in_seconds(ration_span));
  }
  return {};
}

void Run::carry_out(const shotlog::Command& command, Utc now, Output& out) {
  auto* rig = rig_of(command);
  std::visit(Match{[&](const Hold&) { rig->hold(out); }, [&](const Resume&) { rig->resume(now, out); },
                   [&](const Trim& trim) { rig->trim({trim.stops}); },
                   [&](const SkipStep& skip) {
                     for (auto& each : rigs_) each.skip_step(skip.step, out);
                     for (auto& [name, filter] : filters_) filter.skip_step(skip.step);
                   },
                   [&](const SetFilter& seen) { filters_.at(seen.rig).confirm(seen.state, voice_, log_); },
                   [](const ClockOk&) {},  // for whoever keeps the clock
                   [&](const Stop&) {
                     stopping_ = true;
                     for (auto& each : rigs_) each.stop(out);
                     give_up_windows();
                   }},
             command);
}

}  // namespace noonfall::run
