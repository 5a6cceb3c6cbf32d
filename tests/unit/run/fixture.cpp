#include "tests/unit/run/fixture.h"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "lib/base/match.h"

namespace noonfall::run {
namespace {

constexpr Utc zero{1'817'200'000s};

std::string ms(Utc instant) {
  return fmt::format("{}", in_milliseconds(instant - zero));
}

std::string name(const shotlog::FrameName& frame) {
  return fmt::format("{}/{} {}.{}", frame.rig, frame.step, frame.set, frame.frame);
}

std::string because(const std::string& why) {
  return why.empty() ? "" : ": " + why;
}

std::string text(const shotlog::Entry& entry) {
  return std::visit(
      Match{
          [](const shotlog::Header& e) { return "header " + e.title; },
          [](const shotlog::Intent& e) {
            return fmt::format("intent {} order {} due {} latest {}", name(e.frame), e.order, ms(e.due),
                               ms(e.latest));
          },
          [](const shotlog::FrameOutcome& e) {
            return fmt::format("{} {} due {}{}{}", order::to_text(e.result), name(e.frame), ms(e.due),
                               e.opened ? " opened " + ms(*e.opened) : "", because(e.why));
          },
          [](const shotlog::Skip& e) { return fmt::format("skip {}{}", name(e.frame), because(why_of(e))); },
          [](const shotlog::CueLine& e) {
            const bool late = e.filter && e.filter->late;
            return fmt::format("{}cue \"{}\"{}", late ? "late " : "", e.words, because(e.why));
          },
          [](const shotlog::FilterChange& e) {
            return fmt::format("filter of {} {}{}{}", e.rig, shotlog::to_text(e.state),
                               e.confirmed ? " confirmed" : "", because(e.why));
          },
          [](const shotlog::BodyNews& e) {
            return fmt::format("fault {} {}{}", e.rig, e.ready ? "ready" : "away", because(e.why));
          },
          [](const shotlog::ClockLine& e) { return "clock" + because(e.why); },
          [](const shotlog::CommandLine& e) {
            return fmt::format("command \"{}\"{}", to_text(e.command), because(e.why));
          },
          [](const shotlog::Amendment& e) { return "amendment" + because(e.why); },
          [](const shotlog::Ended& e) { return std::string{sentence(e.how)}; },
          [](const shotlog::Note& e) { return "note " + e.words; },
          [](const shotlog::Look& e) {
            return fmt::format("look {}: {}{}", e.rig, e.words,
                               e.trim ? fmt::format("; trim {:+.2f}", *e.trim) : "");
          }},
      entry);
}

std::string text(const ToOneRig& sent) {
  return std::visit(Match{[&](const order::Order& o) {
                            return fmt::format("order {} to {}: {} frames, prepare {}, earliest {}", o.id,
                                               sent.rig, o.frames.size(), ms(o.prepare_from), ms(o.earliest));
                          },
                          [&](const order::Cancel& c) {
                            return fmt::format("cancel {} on {}{}", c.order, sent.rig, because(c.why));
                          },
                          [&](const order::Recover& r) {
                            constexpr const char* how[] = {"", "", " by port", " by worker"};
                            return fmt::format("recover {}{} until {}", sent.rig,
                                               how[static_cast<std::size_t>(r.remedy)], ms(r.until));
                          }},
                    sent.message);
}

std::string joined(const std::vector<std::string>& parts) {
  return fmt::format("{}", fmt::join(parts, " | "));
}

std::vector<std::string> line_texts(const Output& out) {
  std::vector<std::string> parts;
  for (const auto& line : out.lines) {
    if (!std::holds_alternative<shotlog::Header>(line.entry)) parts.push_back(text(line.entry));
  }
  return parts;
}

}  // namespace

Utc at(Duration since_zero) {
  return zero + since_zero;
}

timeline::Timeline empty_timeline() {
  timeline::Timeline timeline;
  timeline.title = "Bench";
  timeline::RigTimeline rig;
  rig.name = "long";
  rig.has_filter = false;
  rig.profile.release = {60ms, 20ms};
  rig.profile.single = {{Duration{0}, 500ms}};
  rig.profile.continuous = {{Duration{0}, 50ms}};
  rig.profile.buffer = {1000};
  rig.profile.write_rate = {100};
  rig.profile.files = {{20}, {5}};
  timeline.rigs.push_back(std::move(rig));
  return timeline;
}

timeline::Timeline timeline_with_window() {
  auto timeline = empty_timeline();
  auto& rig = timeline.rigs.front();
  rig.has_filter = true;
  rig.window = {at(100s), at(108s), at(200s), at(208s)};
  timeline.cues = {{at(100s), "Camera filter off, long.", timeline::CueKind::filter_off, 0},
                   {at(200s), "Camera filter back on, long.", timeline::CueKind::filter_on, 0}};
  return timeline;
}

timeline::RigStep targets(const std::string& name, const std::vector<Duration>& due) {
  timeline::RigStep step;
  step.name = name;
  step.from = at(due.front());
  step.until = at(due.back() + 10s);
  step.shapes = {{{quick}, {Duration{0}}, 2ms, 500ms}};
  for (const auto instant : due) step.targets.push_back({at(instant), 0});
  step.predicted_sets = static_cast<int>(due.size());
  step.patience = 2s;
  step.lead = 1s;
  return step;
}

timeline::RigStep back_to_back(const std::string& name, Duration from, Duration until) {
  timeline::RigStep step;
  step.name = name;
  step.from = at(from);
  step.until = at(until);
  step.shapes = {{{quick, quick}, {Duration{0}, 500ms}, 502ms, 1s}};
  step.back_to_back = true;
  step.lead = 1s;
  return step;
}

timeline::Timeline timeline_of(std::vector<timeline::RigStep> steps) {
  auto timeline = empty_timeline();
  timeline.rigs.front().steps = std::move(steps);
  return timeline;
}

order::OrderStarted started(std::int64_t order, Duration now) {
  return {order, at(now)};
}

order::FrameDone fired(std::int64_t order, order::FrameId id, Duration opened) {
  order::FrameDone report;
  report.order = order;
  report.id = id;
  report.released = at(opened - 60ms);
  report.opened = at(opened);
  report.closed = at(opened + 2ms);
  report.at = at(opened + 10ms);
  report.exposure = quick;
  return report;
}

order::OrderDone done(std::int64_t order, Duration now) {
  return {order, at(now)};
}

Bench::Bench(const timeline::Timeline& timeline, shotlog::Mode mode)
    : mode_{mode}, run_{timeline, {mode, "hash", {}}, {shotlog::ClockGrade::a, 3ms}} {}

Bench Bench::next(const timeline::Timeline& timeline) const {
  Bench later{timeline, mode_};
  later.run_ = Run{timeline, {mode_, "hash"}, {shotlog::ClockGrade::a, 3ms}, shotlog::account_of(lines_)};
  later.lines_ = lines_;
  return later;
}

Output Bench::advance(Duration now, const std::vector<Input>& inputs) {
  auto out = run_.step(at(now), inputs);
  const auto again = run_.step(at(now), {});
  CHECK(again.to_rigs.empty());
  CHECK(again.lines.empty());
  CHECK(again.announcements.empty());
  CHECK(again.wake == out.wake);
  lines_.insert(lines_.end(), out.lines.begin(), out.lines.end());
  return out;
}

std::string Bench::step(Duration now, const std::vector<Input>& inputs) {
  const auto out = advance(now, inputs);
  auto parts = line_texts(out);
  for (const auto& sent : out.to_rigs) parts.push_back(text(sent));
  for (const auto& words : out.announcements)
    parts.push_back(fmt::format("say \"{}\" by {}", words.text, ms(words.ends)));
  if (out.wake) parts.push_back("wake " + ms(*out.wake));
  if (out.finished) parts.emplace_back("finished");
  return joined(parts);
}

std::string Bench::orders(Duration now, const std::vector<Input>& inputs) {
  std::vector<std::string> parts;
  for (const auto& sent : advance(now, inputs).to_rigs) parts.push_back(text(sent));
  return joined(parts);
}

std::string Bench::lines(Duration now, const std::vector<Input>& inputs) {
  return joined(line_texts(advance(now, inputs)));
}

}  // namespace noonfall::run
