// What holds of every camera filter whatever stalls, ends the core, is amended, skipped, said, or done to the
// clock, and when: by the lines and orders that came out alone.
#include <algorithm>
#include <map>
#include <memory>
#include <set>
#include <utility>

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include "lib/shotlog/codec.h"
#include "tests/unit/run/fixture.h"

using namespace noonfall;
using namespace noonfall::run;
using shotlog::ClockGrade;
using shotlog::FilterState;

namespace {

// By the rule of fourteen letters a second and 200 ms: the shortest words that put a filter back on.
const Duration shortest_on = speaking_time("Camera filter on, long.");
constexpr Duration latest_off = 500ms;

timeline::RigStep unfiltered(timeline::RigStep step) {
  step.filtered = false;
  return step;
}

std::vector<Duration> each_three_seconds(Duration from, Duration until) {
  std::vector<Duration> out;
  for (auto due = from; due < until; due += 3s) out.push_back(due);
  return out;
}

timeline::RigStep filtered(const std::string& name, Duration from, Duration until) {
  auto step = targets(name, each_three_seconds(from, until));
  step.until = at(until);
  return step;
}

/// `shift` moves the window: earlier than its steps need on no account, but that is the timeline's matter.
timeline::RigTimeline planned(const std::string& rig, Duration shift) {
  auto planned = timeline_with_window().rigs.front();
  planned.name = rig;
  auto& window = *planned.window;
  for (auto* edge : {&window.opens, &window.usable_from, &window.usable_until, &window.closes})
    *edge += shift;
  planned.steps = {filtered("crescent", 10s, 90s),
                   unfiltered(back_to_back("corona", 110s + shift, 150s + shift)),
                   unfiltered(back_to_back("diamond", 160s + shift, 190s + shift)),
                   filtered("thin crescent", 220s + shift, 300s + shift), back_to_back("sunset", 400s, 420s)};
  return planned;
}

void add_cues(timeline::Timeline& timeline) {
  using timeline::CueKind;
  timeline.cues = {{at(99s), "Soon.", CueKind::spoken, 0}, {at(201s), "And over.", CueKind::spoken, 0}};
  for (std::size_t n = 0; n < timeline.rigs.size(); ++n) {
    const auto& each = timeline.rigs[n];
    if (!each.window) continue;
    timeline.cues.push_back(
        {each.window->opens, "Camera filter off, " + each.name + ".", CueKind::filter_off, n});
    timeline.cues.push_back(
        {each.window->usable_until, "Camera filter back on, " + each.name + ".", CueKind::filter_on, n});
  }
  std::stable_sort(timeline.cues.begin(), timeline.cues.end(),
                   [](const auto& a, const auto& b) { return a.ends < b.ends; });
}

timeline::Timeline plan_of(std::vector<timeline::RigTimeline> rigs) {
  auto timeline = empty_timeline();
  timeline.rigs = std::move(rigs);
  add_cues(timeline);
  return timeline;
}

timeline::RigTimeline off_the_path(timeline::RigTimeline planned) {
  planned.window.reset();
  planned.steps.erase(std::remove_if(planned.steps.begin(), planned.steps.end(),
                                     [](const auto& step) { return !step.filtered; }),
                      planned.steps.end());
  return planned;
}

timeline::RigTimeline without_filter(timeline::RigTimeline planned) {
  planned = off_the_path(std::move(planned));
  planned.has_filter = false;
  for (auto& step : planned.steps) step.filtered = false;
  return planned;
}

timeline::Timeline any_plan() {
  const auto moved = *rc::gen::element(Duration{-4s}, Duration{1s}, Duration{30s}, Duration{150s});
  switch (*rc::gen::inRange(0, 9)) {
    case 0:
      return plan_of({off_the_path(planned("long", 0s))});
    case 1:
      return plan_of({without_filter(planned("long", 0s))});
    case 2:
      return plan_of({planned("other", 0s)});
    case 3:
      return plan_of({});
    case 4:
      return plan_of({planned("long", moved)});
    case 5:
      return plan_of({planned("wide", 8s), planned("long", 0s)});
    case 6:
      return plan_of({planned("long", moved), planned("wide", moved)});
    default:
      return plan_of({planned("long", 0s)});
  }
}

/// The rig's filter as whoever hears the words and reads the log knows it.
struct Known {
  FilterState state = FilterState::unknown;
  std::optional<shotlog::FilterCue> words;  // of this core, the last
  Utc words_end;
  bool coming_off = false;  // words that let it come off were begun, and nothing came after them

  [[nodiscard]] bool being_called_on(Utc now) const {
    return words && words->leaves == FilterState::on && now < words_end;
  }
};

class Story {
 public:
  void tell() {
    start(any_plan());
    for (int n = 0; n < 120 && !finished_; ++n) {
      const auto inputs = happen();
      step(inputs);
      go_on_a_while();
    }
  }

 private:
  void start(timeline::Timeline plan) {
    plan_ = std::move(plan);
    const Facts facts{shotlog::Mode::event, "hash"};
    const shotlog::ClockState clock{grade_, {}};
    run_ = lines_.empty() ? std::make_unique<Run>(plan_, facts, clock)
                          : std::make_unique<Run>(plan_, facts, clock, shotlog::account_of(lines_));
    given_up_ = false;
    for (auto& [rig, known] : known_) {
      known.words.reset();
      if (std::exchange(known.coming_off, false)) known.state = FilterState::unknown;
    }
    orders_.clear();
  }

  std::vector<Input> happen() {
    std::vector<Input> inputs = reports();
    switch (*rc::gen::inRange(0, 40)) {
      case 0:
      case 1:
        start(plan_);
        return lost();
      case 2:
      case 3:
        start(any_plan());
        return lost();
      case 4:
        given_up_ = true;
        inputs.emplace_back(Leaving{});
        break;
      case 5:
      case 6:
        grade_ = *rc::gen::element(ClockGrade::a, ClockGrade::c, ClockGrade::f);
        inputs.emplace_back(ClockChange{{grade_, {}}, "heard"});
        break;
      default:
        if (*rc::gen::inRange(0, 12) == 0) inputs.emplace_back(command());
    }
    return inputs;
  }

  Request command() {
    const auto names = run_->names();
    const auto rig = names.rigs.empty() ? std::string{} : *rc::gen::elementOf(names.rigs);
    switch (*rc::gen::inRange(0, 12)) {
      case 0:
      case 1:
      case 2:
        return {SetFilter{rig, FilterState::off}};
      case 3:
      case 4:
        return {SetFilter{rig, FilterState::on}};
      case 5:
      case 6:
        return {SkipStep{"corona"}};
      case 7:
      case 8:
        return {SkipStep{"diamond"}};
      case 9:
        return {Hold{rig}};
      case 10:
        return {Resume{rig}};
      default:
        return {Stop{}};
    }
  }

  /// What the workers held is lost with them.
  std::vector<Input> lost() const {
    std::vector<Input> inputs;
    for (std::size_t n = 0; n < plan_.rigs.size(); ++n)
      inputs.emplace_back(Attached{static_cast<std::int32_t>(n), {}});
    return inputs;
  }

  std::vector<Input> reports() {
    std::vector<Input> inputs;
    for (auto order = orders_.begin(); order != orders_.end();) {
      if (now_ < order->frames.back().due + 1s) {
        ++order;
        continue;
      }
      for (const auto& frame : order->frames)
        inputs.emplace_back(order::Report{fired(order->id, frame.id, frame.due - at(0s))});
      inputs.emplace_back(order::Report{order::OrderDone{order->id, now_}});
      order = orders_.erase(order);
    }
    return inputs;
  }

  void step(const std::vector<Input>& inputs) {
    for (const auto& each : plan_.rigs)
      if (each.has_filter) known_[each.name];
    const auto out = run_->step(now_, inputs);
    for (const auto& line : out.lines) {
      if (const auto* cue = std::get_if<shotlog::CueLine>(&line.entry)) heard(*cue);
      if (const auto* change = std::get_if<shotlog::FilterChange>(&line.entry)) changed(*change);
      if (const auto* said = std::get_if<shotlog::CommandLine>(&line.entry)) carried_out(*said);
    }
    lines_.insert(lines_.end(), out.lines.begin(), out.lines.end());
    for (const auto& sent : out.to_rigs) {
      if (const auto* order = std::get_if<order::Order>(&sent.message)) ordered(sent.rig, *order);
    }
    for (const auto& [rig, known] : known_) check_called_back(rig, known);
    if (out.finished) {
      for (const auto& [rig, known] : known_) RC_ASSERT(known.state == FilterState::on);
    }
    finished_ = out.finished;
    wake_ = out.wake;
  }

  void carried_out(const shotlog::CommandLine& said) {
    if (!said.why.empty()) return;
    given_up_ = given_up_ || std::holds_alternative<Stop>(said.command);
    if (const auto* skip = std::get_if<SkipStep>(&said.command)) skipped_.insert(skip->step);
  }

  /// "Off" comes in its time or within its window, with a clock that somebody vouches for.
  void heard(const shotlog::CueLine& cue) {
    if (!cue.filter || !cue.why.empty()) return;
    auto& known = known_.at(cue.filter->rig);
    RC_ASSERT(!known.being_called_on(now_));
    if (cue.filter->leaves == FilterState::off) {
      const auto* each = rig_of(cue.filter->rig);
      RC_ASSERT(each != nullptr && each->window.has_value());
      RC_ASSERT(known.state != FilterState::off);
      RC_ASSERT(grade_ != ClockGrade::f);
      RC_ASSERT(wanted(*each));
      RC_ASSERT(cue.ends >= each->window->opens);
      RC_ASSERT(cue.ends + (each->window->usable_from - each->window->opens) < each->window->usable_until);
      if (cue.ends == each->window->opens)
        RC_ASSERT(now_ <= cue.ends - speaking_time(cue.words) + latest_off);
      else
        RC_ASSERT(now_ >= each->window->opens);  // in time nobody was told, or a person said that it is on
    }
    if (grade_ == ClockGrade::f) RC_ASSERT(cue.words.find("off") == std::string::npos);
    known.coming_off = cue.filter->leaves != FilterState::on;
    known.words = cue.filter;
    known.words_end = std::max(cue.ends, now_ + speaking_time(cue.words));
  }

  /// Off or on is assumed only when words that say so were begun by this core and are over.
  void changed(const shotlog::FilterChange& change) {
    auto& known = known_[change.rig];
    if (!change.confirmed && change.state != FilterState::unknown) {
      RC_ASSERT(known.words.has_value());
      RC_ASSERT(known.words->leaves == change.state);
      RC_ASSERT(now_ >= known.words_end);
    }
    if (change.confirmed && known.words && known.words->leaves == FilterState::on &&
        change.state == FilterState::off)
      known.words.reset();  // contradicted: to be said again
    known.state = change.state;
    known.coming_off = false;
  }

  void ordered(std::int32_t rig, const order::Order& order) {
    const auto& each = plan_.rigs[static_cast<std::size_t>(rig)];
    const auto& of_step = each.steps[static_cast<std::size_t>(order.frames.front().id.step)];
    if (each.has_filter && of_step.filtered) RC_ASSERT(known_.at(each.name).state == FilterState::on);
    orders_.push_back(order);
  }

  void check_called_back(const std::string& rig, const Known& known) const {
    if (known.state == FilterState::on || covered(rig)) return;
    const bool speaking = known.words && now_ < known.words_end;  // one voice; its own words come to an end
    const bool others = std::any_of(known_.begin(), known_.end(),
                                    [&](const auto& other) { return other.second.being_called_on(now_); });
    if (!speaking && !others) tell_log();
    RC_ASSERT(speaking || others);
  }

  void tell_log() const {
    RC_LOG() << "at " << in_seconds(now_ - at(0s)) << " s after\n";
    for (const auto& line : lines_) {
      if (!std::holds_alternative<shotlog::Intent>(line.entry) &&
          !std::holds_alternative<shotlog::FrameOutcome>(line.entry) &&
          !std::holds_alternative<shotlog::Skip>(line.entry))
        RC_LOG() << in_seconds(line.utc - at(0s)) << " " << shotlog::encode(line).substr(0, 260) << "\n";
    }
  }

  [[nodiscard]] bool covered(const std::string& rig) const {
    const auto* each = rig_of(rig);
    if (each == nullptr || !each->window || !wanted(*each)) return false;
    return now_ >= each->window->opens && now_ < each->window->usable_until - shortest_on;
  }

  /// Some step still needs the filter off.
  [[nodiscard]] bool wanted(const timeline::RigTimeline& each) const {
    if (given_up_) return false;
    const auto skips = [&](const auto& one) { return !one.filtered && skipped_.contains(one.name); };
    return std::none_of(each.steps.begin(), each.steps.end(), skips) ||
           std::any_of(each.steps.begin(), each.steps.end(),
                       [&](const auto& one) { return !one.filtered && !skips(one) && now_ < one.until; });
  }

  [[nodiscard]] const timeline::RigTimeline* rig_of(const std::string& rig) const {
    const auto found = std::find_if(plan_.rigs.begin(), plan_.rigs.end(),
                                    [&](const auto& each) { return each.name == rig && each.has_filter; });
    return found == plan_.rigs.end() ? nullptr : &*found;
  }

  /// To where the core asks to be woken, past it, somewhere before it, or over a clock that jumps.
  void go_on_a_while() {
    const auto stall = Duration{std::chrono::milliseconds{*rc::gen::inRange(0, 2500)}};
    const auto soon = std::min(wake_.value_or(now_ + 5s), now_ + 40s);
    switch (*rc::gen::inRange(0, 20)) {
      case 0:
      case 1:
      case 2:
        now_ = std::max(now_, soon) + stall;
        break;
      case 3:
      case 4:
        now_ += stall;
        break;
      case 5:
        now_ += *rc::gen::element(Duration{15s}, Duration{60s}, Duration{100s});
        break;
      default:
        now_ = std::max(now_, soon);
    }
  }

  Utc now_ = at(Duration{std::chrono::milliseconds{*rc::gen::inRange(0, 130'000)}});
  ClockGrade grade_ = ClockGrade::a;
  timeline::Timeline plan_;
  std::unique_ptr<Run> run_;
  std::vector<shotlog::Line> lines_;
  std::map<std::string, Known> known_;
  std::set<std::string> skipped_;
  std::vector<order::Order> orders_;
  std::optional<Utc> wake_;
  bool given_up_ = false;  // this core was told to stop, or to go
  bool finished_ = false;
};

}  // namespace

TEST_CASE("no filter is off or unknown outside its window without being called back, whatever happens") {
  CHECK(rc::check([] {
    for (int n = 0; n < 10; ++n) Story{}.tell();
  }));
}
