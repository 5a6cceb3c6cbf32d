#include "tests/stories/filter_promises.h"

#include <algorithm>

#include <fmt/format.h>

#include "lib/time/utc_text.h"

namespace noonfall::stories {
namespace {

using namespace std::chrono_literals;
using shotlog::FilterState;

constexpr Duration soon = 1s;            // after the first chance
constexpr Duration no_word_before = 2s;  // of a frame that may still come, after the window

/// The rig that words begin with `start` are for.
std::optional<std::string> rig_after(const std::string& words, const std::string& start) {
  if (!words.starts_with(start) || !words.ends_with('.')) return std::nullopt;
  return words.substr(start.size(), words.size() - start.size() - 1);
}

std::optional<std::string> rig_called_on(const std::string& words) {
  for (const auto* start :
       {"Camera filter back on, ", "Camera filter on, ", "Rehearsal, keep the camera filter on, "}) {
    if (auto rig = rig_after(words, start)) return rig;
  }
  return std::nullopt;
}

}  // namespace

void FilterPromises::take(const Moment& moment) {
  pass_to(moment);
  std::visit([&](const auto& what) { happened(moment, what); }, moment.what);
  last_at_ = moment.at;
  last_reads_ = moment.reads;
  last_now_ = moment.now;
}

void FilterPromises::breaks(const Moment& moment, const std::string& what) {
  broken_.push_back(fmt::format("{} {}", to_text(moment.now), what));
}

const timeline::RigTimeline* FilterPromises::rig_of(const timeline::Timeline* timeline,
                                                    const std::string& rig) {
  const auto found = std::find_if(timeline->rigs.begin(), timeline->rigs.end(),
                                  [&](const auto& planned) { return planned.name == rig; });
  return found == timeline->rigs.end() ? nullptr : &*found;
}

void FilterPromises::pass_to(const Moment& moment) {
  if (!last_at_) return;
  for (auto& [rig, filter] : filters_) pass(rig, filter, moment);
}

void FilterPromises::finish_words(Filter& filter, Utc until) const {
  if (!filter.saying || filter.saying->ends > until) return;
  filter.told = filter.saying->leaves;
  filter.saying.reset();
}

/// What went on between the moment before and this one, when nobody did anything.
void FilterPromises::pass(const std::string& rig, Filter& filter, const Moment& until) {
  auto from = std::max(*last_at_, voice_free_);
  if (filter.saying) from = std::max(from, filter.saying->ends);
  finish_words(filter, until.at);
  if (!can_speak_ || filter.saying || filter.told == FilterState::on) {
    filter.owed_since.reset();
    return;
  }
  if (!filter.owed_since && from <= until.at) filter.owed_since = uncovered_from(rig, from, until.at);
  if (!filter.owed_since || until.at <= *filter.owed_since + soon) return;
  breaks(until, fmt::format("the filter of {} is {} outside a window, and nobody called it back for {:.3f} s",
                            rig, shotlog::to_text(filter.told), in_seconds(until.at - *filter.owed_since)));
  filter.owed_since = until.at;
}

/// From when on, within true time, no window in force lets the filter be off.
std::optional<Utc> FilterPromises::uncovered_from(const std::string& rig, Utc from, Utc until) const {
  const auto* planned = rig_of(in_force_, rig);
  if (planned == nullptr || !planned->window || given_up_) return from;
  const auto& window = *planned->window;
  const auto reads = last_reads_ + (from - *last_at_);
  const auto now = std::max(last_now_, reads);
  if (now < window.opens || now >= window.usable_until) return from;
  const auto closes = *last_at_ + (window.usable_until - last_reads_);
  return closes < until ? std::optional{closes} : std::nullopt;
}

void FilterPromises::happened(const Moment& /*moment*/, const Began& began) {
  in_force_ = began.timeline;
  rehearsal_ = began.mode != shotlog::Mode::event;
  can_speak_ = !rehearsal_;
  given_up_ = false;
  const auto at_first = rehearsal_ ? FilterState::on : FilterState::unknown;
  for (const auto& planned : in_force_->rigs) {
    if (planned.has_filter) filters_.try_emplace(planned.name, Filter{at_first, at_first, {}, {}});
  }
}

void FilterPromises::happened(const Moment& moment, const Ended& /*ended*/) {
  for (auto& [rig, filter] : filters_) {
    if (filter.saying && filter.saying->leaves != FilterState::on) filter.told = FilterState::unknown;
    filter.saying.reset();
  }
  voice_free_ = moment.at;
  nobody_can_speak();
}

void FilterPromises::happened(const Moment& /*moment*/, const Stalled& /*stalled*/) {
  nobody_can_speak();
}

void FilterPromises::nobody_can_speak() {
  can_speak_ = false;
  for (auto& [rig, filter] : filters_) filter.owed_since.reset();
}

void FilterPromises::happened(const Moment& /*moment*/, const WentOn& /*went_on*/) {
  can_speak_ = !rehearsal_;
}

void FilterPromises::happened(const Moment& moment, const ClockMoved& /*moved*/) {
  clock_moved_ = moment.at;
  for (auto& [rig, filter] : filters_) filter.owed_since.reset();
}

void FilterPromises::happened(const Moment& moment, const Stepped& stepped) {
  for_shots_ = in_force_;
  given_up_ = given_up_ || stepped.leaving;
  for (const auto& line : stepped.lines) {
    if (const auto* command = std::get_if<shotlog::CommandLine>(&line.entry)) confirmed(*command);
    if (const auto* change = std::get_if<shotlog::FilterChange>(&line.entry)) logged(moment, *change);
    const auto* fault = std::get_if<shotlog::BodyNews>(&line.entry);
    if (fault != nullptr && fault->why.find("may still take a frame") != std::string::npos)
      filters_[fault->rig].warned = true;
  }
  for (std::size_t n = 0; n < stepped.words.size(); ++n)
    said(moment, stepped.words[n], stepped.words_end[n], stepped.lines.back().clock.grade);
  if (!stepped.finished) return;
  for (const auto& [rig, filter] : filters_) {
    if (filter.told != FilterState::on)
      breaks(moment,
             fmt::format("the run ends with the filter of {} {}", rig, shotlog::to_text(filter.told)));
  }
}

/// `filter RIG on|off`: a person knows. Words under way that it contradicts count for nothing.
void FilterPromises::confirmed(const shotlog::CommandLine& command) {
  const auto* seen = std::get_if<shotlog::SetFilter>(&command.command);
  if (!command.why.empty() || seen == nullptr) return;
  auto& filter = filters_[seen->rig];
  filter.told = seen->state;
  if (filter.saying && filter.saying->leaves == FilterState::on) filter.saying.reset();
}

/// On and off are assumed of words that were said in full, and of nothing else.
void FilterPromises::logged(const Moment& moment, const shotlog::FilterChange& change) {
  auto& filter = filters_[change.rig];
  filter.logged = change.state;
  if (change.confirmed || change.state == FilterState::unknown || filter.told == change.state) return;
  // The voice can't hear that the clock was put on meanwhile.
  const bool under_way =
      filter.saying && filter.saying->leaves == change.state && clock_moved_ >= filter.saying->begun;
  if (under_way) return;
  breaks(moment, fmt::format("the filter of {} is logged {}, and was told to be {}", change.rig,
                             shotlog::to_text(change.state), shotlog::to_text(filter.told)));
}

void FilterPromises::said(const Moment& moment, const std::string& words, Utc ends,
                          shotlog::ClockGrade grade) {
  if (const auto rig = rig_called_on(words)) {
    say(*rig, FilterState::on, moment, ends);
    voice_free_ = std::max(voice_free_, filters_[*rig].saying->ends);
    for (auto& [other, filter] : filters_) filter.owed_since.reset();
    return;
  }
  if (const auto rig = rig_after(words, "Camera filter off, ")) return told_off(moment, *rig, ends, grade);
  if (words != "Clock not verified, operator decides.") return;
  for (const auto& planned : in_force_->rigs) {
    if (planned.window && planned.window->opens == ends)
      say(planned.name, FilterState::unknown, moment, ends);
  }
}

void FilterPromises::told_off(const Moment& moment, const std::string& rig, Utc ends,
                              shotlog::ClockGrade grade) {
  const auto* planned = rig_of(in_force_, rig);
  if (rehearsal_ || planned == nullptr || !planned->window || given_up_ || ends < planned->window->opens ||
      ends >= planned->window->usable_until)
    breaks(moment, fmt::format("{} is told to take its filter off outside a window", rig));
  // One that nobody had the time to log may be said again by the core that comes after.
  if (filters_[rig].told == FilterState::off && filters_[rig].logged == FilterState::off)
    breaks(moment, fmt::format("{} is told to take off a filter that is off", rig));
  if (grade == shotlog::ClockGrade::f)
    breaks(moment, fmt::format("{} is told to take its filter off by a clock that nobody vouches for", rig));
  say(rig, FilterState::off, moment, ends);
}

void FilterPromises::say(const std::string& rig, FilterState leaves, const Moment& moment, Utc ends) {
  filters_[rig].saying = Saying{leaves, moment.at, moment.at + std::max(Duration{0}, ends - moment.now)};
}

void FilterPromises::happened(const Moment& moment, const Shot& shot) {
  if (!shot.has_filter) return;
  const auto& filter = filters_[shot.name.rig];
  const auto what = fmt::format("{}/{} {}.{}", shot.name.rig, shot.name.step, shot.name.set, shot.name.frame);
  if (shot.filtered) {
    if (!shot.held_up && (filter.told != FilterState::on || filter.logged != FilterState::on))
      breaks(moment, fmt::format("{} counts on a filter that was told to be {} and is logged {}", what,
                                 shotlog::to_text(filter.told), shotlog::to_text(filter.logged)));
    return;
  }
  unfiltered(moment, shot, what);
}

/// Within its window; and of a body that went silent beforehand, not without a warning.
void FilterPromises::unfiltered(const Moment& moment, const Shot& shot, const std::string& what) {
  const auto* planned = rig_of(for_shots_, shot.name.rig);
  const auto* window = planned != nullptr && planned->window ? &*planned->window : nullptr;
  if (window != nullptr && shot.opened >= window->usable_from && shot.closed <= window->usable_until) return;
  const bool warned = window != nullptr && (filters_[shot.name.rig].warned ||
                                            shot.opened <= window->usable_until + no_word_before);
  if (shot.held_up && warned) return;
  breaks(moment, fmt::format("{} is unfiltered, opened at {} and closed at {}, {}", what,
                             to_text(shot.opened), to_text(shot.closed),
                             window == nullptr ? std::string{"and the rig has no window"}
                                               : fmt::format("outside {} to {}", to_text(window->usable_from),
                                                             to_text(window->usable_until))));
}

}  // namespace noonfall::stories
