#include "tests/stories/story.h"

#include <algorithm>
#include <stdexcept>
#include <utility>

#include <fmt/format.h>

#include "lib/base/match.h"
#include "lib/timeline/timeline.h"
#include "tests/stories/chance.h"
#include "tests/stories/plan_text.h"

namespace noonfall::stories {
namespace {

using namespace std::chrono_literals;
using contacts::ContactName;
using shotlog::ClockGrade;

shotlog::ClockState any_clock(Chance& chance) {
  static const std::vector<shotlog::ClockState> states{
      {ClockGrade::a, 5ms}, {ClockGrade::a, 5ms}, {ClockGrade::b, 80ms}, {ClockGrade::c, 400ms}, {}};
  return chance.one_of(states);
}

class Author {
 public:
  explicit Author(std::uint64_t seed) : chance_{seed} { story_.seed = seed; }

  Story write() {
    place_ = any_place(chance_);
    first_plan();
    const auto& timeline = story_.chapters.front().timeline;
    c2_ = timeline.circumstances.at(ContactName::c2)->utc;
    c3_ = timeline.circumstances.at(ContactName::c3)->utc;
    story_.starts = c2_ - chance_.between(1min, 12min);
    story_.clock = chance_.percent(80) ? shotlog::ClockState{ClockGrade::a, 5ms} : any_clock(chance_);
    story_.detune = 0.7 + 0.1 * static_cast<double>(chance_.below(7));
    for (auto amendments = chance_.below(3); amendments > 0; --amendments) amend();
    break_bodies();
    happen();
    return std::move(story_);
  }

 private:
  /// Drawn until one is a plan that would be accepted.
  void first_plan() {
    for (int tries = 0; tries < 100; ++tries) {
      auto text = any_plan(chance_, place_, {});
      if (auto timeline = timeline_before_the_day(text)) return add("first", std::move(text), *timeline);
    }
    throw std::logic_error{fmt::format("story {}: no plan is accepted", story_.seed)};
  }

  void add(std::string name, std::string text, timeline::Timeline timeline) {
    run::Facts facts{shotlog::Mode::event, fmt::format("{:064}", story_.chapters.size())};
    story_.plans.push_back(std::move(text));
    story_.chapters.push_back({std::move(name), std::move(timeline), std::move(facts)});
  }

  void amend() {
    const auto& first = story_.plans.front();
    switch (chance_.below(6)) {
      case 0:
        return try_text("off the path",
                        at_place(first, place_, {{}, place_.latitude + 12, place_.longitude}));
      case 1:
        return try_text("a little along",
                        at_place(first, place_, {{}, place_.latitude, place_.longitude + 0.2}));
      case 2:
        return move_window();
      case 3:
        return try_text("nothing unfiltered", any_plan(chance_, place_, {true, false}));
      case 4:
        return try_text("the long rig gone", any_plan(chance_, place_, {false, true}));
      default:
        return try_text("another plan", any_plan(chance_, place_, {}));
    }
  }

  void try_text(std::string name, std::string text) {
    if (auto timeline = timeline_on_the_day(text)) add(std::move(name), std::move(text), *timeline);
  }

  void move_window() {
    static const std::vector<Duration> by{-40s, -5s, 3s, 20s, 90s, 10min};
    const auto moved = chance_.one_of(by);
    add(fmt::format("moved by {} s", moved / 1s), story_.plans.front(),
        timeline::moved(story_.chapters.front().timeline, moved));
  }

  /// Half of everything happens at the edges, where it hurts.
  Utc any_instant() {
    if (chance_.percent(50))
      return chance_.percent(50) ? near_an_edge() : c2_ + chance_.between(-1min, c3_ - c2_ + 1min);
    return story_.starts + chance_.between(1s, c3_ + 4min - story_.starts);
  }
  Utc near_an_edge() {
    const auto& window = story_.chapters.front().timeline.rigs.front().window;
    static constexpr Duration around = 6s;
    const std::vector<Utc> edges{
        c2_,       c3_,      window->opens, window->usable_from, window->usable_until, window->closes,
        c2_ - 60s, c3_ + 60s};
    return chance_.one_of(edges) + chance_.between(-around, around);
  }

  void break_bodies() {
    for (const auto* rig : {"long", "short", "wide"}) {
      if (chance_.percent(55)) continue;
      auto& faults = story_.faults[rig];
      for (auto count = 1 + chance_.below(3); count > 0; --count) faults.push_back(any_fault());
      std::sort(faults.begin(), faults.end(), [](const auto& a, const auto& b) { return a.from < b.from; });
    }
  }

  sim::Fault any_fault() {
    const auto from = any_instant();
    const auto until = from + chance_.between(500ms, 60s);
    const std::optional<int> few = static_cast<int>(1 + chance_.below(4));
    switch (chance_.below(7)) {
      case 0:
        return {from, until, std::nullopt, sim::BusyReleases{}};
      case 1:
      case 2:
        return {from, until, std::nullopt,
                sim::RefusedSetting{chance_.one_of<sim::Setting>(
                    {sim::Setting::shutter, sim::Setting::shutter, sim::Setting::drive})}};
      case 3:
        return {from, Utc::max(), few, sim::LostFrame{sim::LostFrame::Sign::unconfirmed}};
      case 4:
        return {from, Utc::max(), few, sim::LostFrame{sim::LostFrame::Sign::no_word}};
      case 5:
        return {from, until, std::nullopt, sim::BodyGone{}};
      default:
        return {from, until, std::nullopt, sim::SlowCard{0.2}};
    }
  }

  void happen() {
    for (auto count = chance_.below(10); count > 0; --count)
      story_.events.push_back({any_instant(), any_event()});
    std::stable_sort(story_.events.begin(), story_.events.end(),
                     [](const Event& a, const Event& b) { return a.at < b.at; });
  }

  decltype(Event::what) any_event() {
    switch (chance_.below(13)) {
      case 0:
      case 1:
      case 2:
        return Said{any_words()};
      case 3:
      case 4:
        return Stall{chance_.percent(70) ? chance_.between(100ms, 5s) : chance_.between(5s, 30s)};
      case 5:
      case 6:
      case 7:
      case 8:
        return KillCore{any_absence(), chance_.percent(40), any_chapter()};
      case 9:
        return EndCore{any_absence(), any_chapter()};
      case 10:
        return KillWorker{static_cast<std::size_t>(chance_.below(2)), any_absence()};
      default:
        return Graded{any_clock(chance_), any_jump()};
    }
  }

  std::string any_words() {
    const std::string rig = chance_.one_of<std::string>({"long", "long", "long", "short", "held", "wide"});
    switch (chance_.below(12)) {
      case 0:
      case 1:
        return "hold " + rig;
      case 2:
      case 3:
        return "resume " + rig;
      case 4:
        return fmt::format("trim {} {} stop", rig, chance_.one_of<std::string>({"-1", "+1/3", "+2"}));
      case 5:
      case 6:
        return fmt::format(
            "skip {} {}",
            chance_.one_of<std::string>({"corona", "beads in", "beads out", "crescent out", "diamond"}), rig);
      case 7:
        return fmt::format("filter {} on", rig);
      case 8:
        return fmt::format("filter {} off", rig);
      case 9:
        return chance_.percent(60) ? "clock ok" : "stop";
      default:
        return "clock ok";
    }
  }

  Duration any_absence() {
    return chance_.percent(70) ? chance_.between(100ms, 4s) : chance_.between(4s, 60s);
  }
  std::size_t any_chapter() {
    return chance_.percent(50)
               ? 0
               : static_cast<std::size_t>(chance_.below(static_cast<std::int64_t>(story_.chapters.size())));
  }
  Duration any_jump() {
    if (chance_.percent(30)) return {};
    const auto most = chance_.one_of<Duration>({400ms, 10s, 2min, 1h});
    return chance_.between(-most, most);
  }

  Chance chance_;
  Story story_;
  Place place_;
  Utc c2_;
  Utc c3_;
};

}  // namespace

Story story_of(std::uint64_t seed) {
  return Author{seed}.write();
}

std::string to_text(const Event& event, Utc starts) {
  const auto what = std::visit(
      Match{[](const Said& said) { return "\"" + said.words + "\""; },
            [](const Stall& stall) {
              return fmt::format("the core stalls for {:.3f} s", in_seconds(stall.lasts));
            },
            [](const KillCore& kill) {
              return fmt::format("the core is killed for {:.3f} s{}, then chapter {}", in_seconds(kill.away),
                                 kill.before_sending ? " before sending" : "", kill.chapter);
            },
            [](const EndCore& end) {
              return fmt::format("the core is told to end, away for {:.3f} s, then chapter {}",
                                 in_seconds(end.away), end.chapter);
            },
            [](const KillWorker& kill) {
              return fmt::format("worker {} is killed for {:.3f} s", kill.rig, in_seconds(kill.away));
            },
            [](const Graded& graded) {
              return fmt::format("the clock is of grade {} and jumps by {:.3f} s",
                                 shotlog::to_text(graded.state.grade), in_seconds(graded.jump));
            }},
      event.what);
  return fmt::format("{:9.3f} {}", in_seconds(event.at - starts), what);
}

}  // namespace noonfall::stories
