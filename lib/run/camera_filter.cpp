#include "lib/run/camera_filter.h"

#include <algorithm>
#include <utility>

#include "lib/timeline/sentences.h"

namespace noonfall::run {
namespace {

using shotlog::FilterState;
using timeline::CueKind;
using timeline::Sentence;

constexpr Duration news_within = std::chrono::seconds{1};  // of the voice, behind the end of its words
constexpr Duration off_again_every = std::chrono::seconds{10};

std::optional<timeline::Cue> cue_of(const timeline::Timeline& timeline, std::size_t rig, CueKind kind) {
  const auto found = std::find_if(timeline.cues.begin(), timeline.cues.end(), [&](const timeline::Cue& cue) {
    return cue.kind == kind && cue.rig == rig;
  });
  return found == timeline.cues.end() ? std::nullopt : std::optional{*found};
}

}  // namespace

CameraFilter::CameraFilter(std::string rig, shotlog::Mode mode, plan::Language language)
    : rig_{std::move(rig)},
      mode_{mode},
      language_{language},
      state_{mode == shotlog::Mode::event ? FilterState::unknown : FilterState::on},
      back_on_{sentence(language, Sentence::filter_back_on, rig_)} {}

CameraFilter::CameraFilter(const timeline::Timeline& timeline, std::size_t rig, shotlog::Mode mode)
    : CameraFilter{timeline.rigs[rig].name, mode, timeline.language} {
  const auto& plan = timeline.rigs[rig];
  window_ = plan.window;
  off_ = cue_of(timeline, rig, CueKind::filter_off);
  on_ = cue_of(timeline, rig, CueKind::filter_on);
  if (on_) back_on_ = on_->words;
  if (off_) off_text_ = off_->words;
  for (const auto& step : plan.steps) {
    if (!step.filtered) unfiltered_.push_back({step.name, step.until});
  }
}

void CameraFilter::begin(LogWriter& log) {
  if (state_ == FilterState::on) return;  // a rehearsal
  log.write(
      shotlog::FilterChange{rig_, state_, false, "the run begins, and nobody has said where the filter is"});
}

void CameraFilter::resume(const shotlog::Account& before, LogWriter& log) {
  const auto said = [&](const std::optional<timeline::Cue>& cue) {
    return cue && std::any_of(before.cues.begin(), before.cues.end(), [&](const shotlog::CueLine& spoken) {
             return spoken.ends == cue->ends && spoken.filter && spoken.filter->rig == rig_;
           });
  };
  skipped_ = before.skipped;
  const auto rig = before.rigs.find(rig_);
  const auto past = rig == before.rigs.end() ? shotlog::FilterAccount{} : rig->second.filter;
  if (said(off_)) off_.reset();
  if (said(on_)) on_.reset();
  if (!past.state) return begin(log);
  state_ = *past.state;
  confirmed_ = past.confirmed;
  first_words_ = past.untold;
  if (past.coming_off)
    set(FilterState::unknown, "the core ended before the words to take it off were over", log);
}

void CameraFilter::confirm(FilterState state, VoiceState& voice, LogWriter& log) {
  // Words that are contradicted don't hold up the same words said again: by a plan's clock that stands still
  // they would never end.
  if (saying_ && saying_->leaves != FilterState::off && saying_->leaves != state) {
    if (voice.free_from == saying_->ends) voice.free_from = Utc::min();
    saying_.reset();
  }
  state_ = state;
  confirmed_ = true;
  first_words_ = false;
  log.write(shotlog::FilterChange{rig_, state, true, {}});
}

void CameraFilter::give_up_window() {
  on_again_.reset();
  window_.reset();
  off_.reset();
  on_.reset();
}

void CameraFilter::take(const Voiced& voiced) {
  if (!saying_ || voiced.words != saying_->words || voiced.ends != saying_->told_to_end) return;
  saying_->awaited = false;
  saying_->unheard = !voiced.why_not.empty();
}

void CameraFilter::advance(Utc now, VoiceState& voice, LogWriter& log, Output& out) {
  finish_words(now, log, out);
  if (!saying_) bring_back(now, voice, log, out);
  if (!saying_) take_off(now, voice, log, out);
  if (!saying_) take_off_late(now, voice, log, out);
  if (!saying_) say_on_again(now, voice, log, out);
  if (saying_) out.wake_at(saying_->ends);
}

std::vector<std::string> CameraFilter::words() const {
  if (mode_ != shotlog::Mode::event) return {on_words()};
  std::vector<std::string> all{sentence(language_, Sentence::filter_on, rig_), back_on_};
  if (window_) {
    all.push_back(sentence(language_, Sentence::clock_unverified));
    if (!off_text_.empty()) all.push_back(off_text_);
  }
  return all;
}

/// Words to put the filter on that a voice began and nobody heard count for nothing: people rely on it.
void CameraFilter::finish_words(Utc now, LogWriter& log, Output& out) {
  if (!saying_ || now < saying_->ends) return;
  if (saying_->awaited && now < saying_->ends + news_within) return out.wake_at(saying_->ends + news_within);
  const auto said = *std::exchange(saying_, std::nullopt);
  const bool unheard = said.awaited || said.unheard;
  if (confirmed_ && said.leaves == state_) return;
  if (unheard && said.leaves == FilterState::on && mode_ == shotlog::Mode::event)
    return set(FilterState::unknown, "its cue wasn't heard", log);
  set(said.leaves,
      mode_ != shotlog::Mode::event         ? "a rehearsal: the filter stays on"
      : said.leaves == FilterState::unknown ? "clock not verified, the operator decides"
      : said.printed || unheard             ? "its cue was printed"
                                            : "its cue was spoken",
      log);
}

/// The cue at the end of the window; and, the filter off or unknown outside one, the same words at any time.
void CameraFilter::bring_back(Utc now, VoiceState& voice, LogWriter& log, Output& out) {
  const bool away = state_ != FilterState::on;
  const auto covered = covered_until(now, voice);
  if (away && covered) out.wake_at(*covered);
  const auto start = on_ ? on_->ends - voice.takes(on_words()) : Utc::max();
  const bool called = now < wanted_until() && now >= start && now <= start + latest_start;
  if (now < start && on_) out.wake_at(start);
  if (called || (away && !covered)) {
    if (mode_ == shotlog::Mode::event && now < voice.free_from) return out.wake_at(voice.free_from);
    const auto ends = called ? on_->ends : now + voice.takes(on_words());
    say({.words = on_words(),
         .ends = ends,
         .filter = shotlog::FilterCue{rig_, FilterState::on, !called && !first_words_}},
        voice, now, log, out);
    if (mode_ == shotlog::Mode::event) voice.free_from = saying_->ends;
    if (called && window_ && mode_ == shotlog::Mode::event) on_again_ = window_->closes;
  } else if (now >= start) {
    const auto* why = now < wanted_until() ? not_in_time : "not spoken: no step needs the filter off";
    log.write(shotlog::CueLine{on_words(), on_->ends, why, shotlog::FilterCue{rig_, FilterState::on}});
  }
  if (now >= start) on_.reset();
}

void CameraFilter::take_off(Utc now, const VoiceState& voice, LogWriter& log, Output& out) {
  if (!off_) return;
  const auto grade = log.clock().grade;
  const bool verified = mode_ != shotlog::Mode::event || grade != shotlog::ClockGrade::f;
  const auto words = off_words(grade);
  const auto start = off_->ends - voice.takes(words);
  if (now < start) return out.wake_at(start);
  auto why = why_not_off(now, start);
  if (why.empty() && now < voice.free_from) return out.wake_at(voice.free_from);
  auto leaves = verified ? FilterState::off : FilterState::unknown;
  if (mode_ != shotlog::Mode::event) leaves = FilterState::on;
  shotlog::CueLine cue{words, off_->ends, std::move(why), shotlog::FilterCue{rig_, leaves}};
  off_.reset();
  if (!cue.why.empty()) return log.write(cue);
  off_again_from_ = now + off_again_every;
  say(std::move(cue), voice, now, log, out);
}

/// Within a window that still leaves the time to handle the filter and use it: a person said that it is on,
/// or nobody was told. Frames go on meanwhile.
void CameraFilter::take_off_late(Utc now, const VoiceState& voice, LogWriter& log, Output& out) {
  if (mode_ != shotlog::Mode::event || !window_ || off_ || off_text_.empty() || state_ == FilterState::off ||
      log.clock().grade == shotlog::ClockGrade::f)
    return;
  auto last_use = Utc::min();
  for (const auto& step : unfiltered_) {
    if (!skipped_.contains(step.name)) last_use = std::max(last_use, step.until);
  }
  const auto ends = now + voice.takes(off_text_);
  const auto handled = ends + (window_->usable_from - window_->opens);
  if (now < window_->opens || handled >= std::min(last_use, window_->usable_until)) return;
  const auto from = std::max(off_again_from_, voice.free_from);
  if (now < from) return out.wake_at(from);
  off_again_from_ = now + off_again_every;
  say({.words = off_text_, .ends = ends, .filter = shotlog::FilterCue{rig_, FilterState::off}}, voice, now,
      log, out);
}

/// Unless a person has confirmed it, the words of the window's end come again when the filter should be on.
void CameraFilter::say_on_again(Utc now, const VoiceState& voice, LogWriter& log, Output& out) {
  if (!on_again_) return;
  const auto start = *on_again_ - voice.takes(on_words());
  const bool over = confirmed_ || state_ != FilterState::on || now > start + latest_start;
  if (!over && now < start) return out.wake_at(start);
  if (!over && now < voice.free_from) return out.wake_at(voice.free_from);
  const auto ends = *std::exchange(on_again_, std::nullopt);
  if (!over)
    say({.words = on_words(), .ends = ends, .filter = shotlog::FilterCue{rig_, FilterState::on}}, voice, now,
        log, out);
}

std::string CameraFilter::why_not_off(Utc now, Utc start) const {
  if (now > start + latest_start) return not_in_time;
  if (now >= wanted_until()) return "not spoken: no step needs the filter off";
  if (state_ == FilterState::off) return "not spoken: the filter is off already";
  return {};
}

std::string CameraFilter::off_words(shotlog::ClockGrade grade) const {
  if (mode_ != shotlog::Mode::event) return on_words();
  if (grade == shotlog::ClockGrade::f) return sentence(language_, Sentence::clock_unverified);
  return off_->words;
}

std::string CameraFilter::on_words() const {
  if (mode_ != shotlog::Mode::event) return sentence(language_, Sentence::keep_filter_on, rig_);
  return first_words_ ? sentence(language_, Sentence::filter_on, rig_) : back_on_;
}

/// Nobody takes a filter off for nothing: the window is in force while a step of the plan needs it.
Utc CameraFilter::wanted_until() const {
  if (!window_) return Utc::min();
  auto until = Utc::min();
  bool skipped = false;
  for (const auto& step : unfiltered_) {
    if (skipped_.contains(step.name)) {
      skipped = true;
    } else {
      until = std::max(until, step.until);
    }
  }
  return skipped ? until : Utc::max();
}

/// Until when the window in force lets the filter be off, the words to bring it back not yet begun.
std::optional<Utc> CameraFilter::covered_until(Utc now, const VoiceState& voice) const {
  if (mode_ != shotlog::Mode::event || !window_ || now < window_->opens) return std::nullopt;
  const auto until = std::min(wanted_until(), window_->usable_until - voice.takes(on_words()));
  return now < until ? std::optional{until} : std::nullopt;
}

void CameraFilter::say(shotlog::CueLine cue, const VoiceState& voice, Utc now, LogWriter& log, Output& out) {
  cue.printed = !voice.speaks(cue.words);
  saying_ = Saying{cue.filter->leaves, std::max(cue.ends, now + voice.takes(cue.words)),
                   cue.printed,        cue.words,
                   cue.ends,           !cue.printed && voice.tells(cue.words)};
  const bool late_too = cue.filter->leaves == FilterState::on;
  out.announcements.push_back(
      {cue.words, cue.ends, late_too ? Utc::max() : cue.ends + latest_start, !cue.printed, true});
  log.write(std::move(cue));
}

void CameraFilter::set(FilterState state, std::string why, LogWriter& log) {
  state_ = state;
  confirmed_ = false;
  first_words_ = false;
  log.write(shotlog::FilterChange{rig_, state, false, std::move(why)});
}

}  // namespace noonfall::run
