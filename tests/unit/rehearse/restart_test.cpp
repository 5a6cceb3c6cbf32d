// The core or a worker is killed at any instant of a totality, and another goes on: the promises hold all the
// same.
#include <map>
#include <set>

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include "lib/shotlog/codec.h"
#include "lib/shotlog/replay.h"
#include "tests/unit/rehearse/plan_fixture.h"

using namespace noonfall;
using namespace noonfall::sim;
using namespace std::chrono_literals;

namespace {

const timeline::Timeline& drill() {
  static const auto timeline = timeline_of(two_minute_drill);
  return timeline;
}

shotlog::Command any_command() {
  return *rc::gen::element<shotlog::Command>(shotlog::Hold{"long"}, shotlog::Resume{"long"},
                                             shotlog::Trim{"long", -1}, shotlog::Trim{"long", 1.0 / 3},
                                             shotlog::SkipStep{"corona"});
}

/// Up to six outages of core or worker from C2 - 3 min on, each up to 20 s long, any luck and pace of the
/// body.
RehearsalSetup any_setup() {
  RehearsalSetup setup;
  setup.timeline = drill();
  setup.seed = *rc::gen::arbitrary<std::uint64_t>();
  setup.detune = 0.7 + 0.1 * *rc::gen::inRange(0, 7);
  auto at = drill().circumstances.at(contacts::ContactName::c2)->utc - 3min;
  const auto outages = *rc::gen::inRange(1, 7);
  for (int n = 0; n < outages; ++n) {
    at += std::chrono::microseconds{*rc::gen::inRange(1, 60'000'000)};
    Outage outage{at, std::chrono::microseconds{*rc::gen::inRange(1, 20'000'000)}, {}, false};
    if (*rc::gen::arbitrary<bool>()) outage.worker = 0;
    outage.before_sending = *rc::gen::arbitrary<bool>();
    setup.outages.push_back(outage);
    at += outage.lasts;
    if (*rc::gen::inRange(0, 3) == 0) {
      at += 1s;
      setup.commands.emplace_back(at, any_command());
    }
  }
  return setup;
}

struct Account {
  std::map<shotlog::FrameName, int> intents;
  std::map<shotlog::FrameName, order::Outcome> last_word;
  std::map<shotlog::FrameName, int> skips;
};

Account account_of(const Rehearsed& rehearsed) {
  Account account;
  for (const auto& line : rehearsed.lines) {
    if (const auto* intent = std::get_if<shotlog::Intent>(&line.entry)) ++account.intents[intent->frame];
    if (const auto* outcome = std::get_if<shotlog::FrameOutcome>(&line.entry))
      account.last_word[outcome->frame] = outcome->result;
    const auto* skip = std::get_if<shotlog::Skip>(&line.entry);
    if (skip != nullptr && skip->frame.set > 0) {
      account.last_word[skip->frame] = order::Outcome::skipped;
      ++account.skips[skip->frame];
    }
  }
  return account;
}

shotlog::FrameName name_of(const order::FrameId& id) {
  const auto& rig = drill().rigs[static_cast<std::size_t>(id.rig)];
  return {rig.name, rig.steps[static_cast<std::size_t>(id.step)].name, id.set, id.frame};
}

}  // namespace

TEST_CASE("whatever is killed when, no frame is asked for twice or taken twice") {
  CHECK(rc::check([] {
    const auto rehearsed = rehearse(any_setup());
    const auto account = account_of(rehearsed);
    for (const auto& [name, times] : account.intents) RC_ASSERT(times == 1);
    std::set<order::FrameId> seen;
    for (const auto& frame : rehearsed.taken.front()) {
      RC_ASSERT(seen.insert(frame.id).second);
      RC_ASSERT(account.intents.contains(name_of(frame.id)));
      const auto& step = drill().rigs.front().steps[static_cast<std::size_t>(frame.id.step)];
      RC_ASSERT(frame.opened >= step.from);
      RC_ASSERT(frame.closed <= step.until);
    }
  }));
}

TEST_CASE(
    "whatever is killed when, every frame asked for gets a last word that agrees with the body's count") {
  CHECK(rc::check([] {
    const auto rehearsed = rehearse(any_setup());
    const auto account = account_of(rehearsed);
    std::set<shotlog::FrameName> taken;
    for (const auto& frame : rehearsed.taken.front()) taken.insert(name_of(frame.id));
    for (const auto& [name, times] : account.intents) {
      const auto word = account.last_word.find(name);
      RC_ASSERT(word != account.last_word.end());
      if (word->second == order::Outcome::fired) RC_ASSERT(taken.contains(name));
      if (taken.contains(name))
        RC_ASSERT(word->second == order::Outcome::fired || word->second == order::Outcome::unknown);
    }
  }));
}

TEST_CASE("a core that goes on writes lines numbered without a gap, one header, and no skip twice") {
  CHECK(rc::check([] {
    const auto rehearsed = rehearse(any_setup());
    const auto replayed = shotlog::replay(rehearsed.log);
    RC_ASSERT(replayed.damage.empty());
    RC_ASSERT(!replayed.torn_tail);
    int headers = 0;
    for (const auto& line : replayed.lines)
      headers += std::holds_alternative<shotlog::Header>(line.entry) ? 1 : 0;
    RC_ASSERT(headers == 1);
    for (const auto& [name, times] : account_of(rehearsed).skips) RC_ASSERT(times == 1);
    RC_ASSERT(replayed.lines.back().entry == shotlog::Entry{shotlog::Ended{shotlog::RunEnd::done}});
  }));
}

TEST_CASE("a core killed while its rigs carry on loses no frame of the orders they hold") {
  CHECK(rc::check([] {
    auto setup = any_setup();
    setup.outages.clear();
    const auto whole = rehearse(setup);
    // In the long filtered part a frame every minute leaves time between: the core is away from after one to
    // before the orders of the next.
    const auto c1 = drill().circumstances.at(contacts::ContactName::c1)->utc;
    const auto away = c1 + std::chrono::seconds{*rc::gen::inRange(0, 1200)};
    setup.outages.push_back({away, 100ms, {}, false});
    const auto cut = rehearse(setup);
    RC_ASSERT(cut.taken.front().size() == whole.taken.front().size());
    for (const auto& [name, word] : account_of(cut).last_word) RC_ASSERT(word != order::Outcome::unknown);
  }));
}

TEST_CASE(
    "the plan's clock put forward at any instant skips frames, and none is early, late or taken twice") {
  CHECK(rc::check([] {
    auto setup = any_setup();
    setup.outages.clear();
    const auto c2 = drill().circumstances.at(contacts::ContactName::c2)->utc;
    const auto by = *rc::gen::element<Duration>(20ms, 1s, 1h);
    setup.jumps.emplace_back(c2 - 20min + std::chrono::microseconds{*rc::gen::inRange(0, 2'000'000'000)}, by);
    const auto rehearsed = rehearse(setup);
    const auto account = account_of(rehearsed);
    std::set<order::FrameId> seen;
    for (const auto& frame : rehearsed.taken.front()) {
      RC_ASSERT(seen.insert(frame.id).second);
      const auto& step = drill().rigs.front().steps[static_cast<std::size_t>(frame.id.step)];
      RC_ASSERT(frame.opened >= step.from);
      RC_ASSERT(frame.closed <= step.until);
    }
    for (const auto& [name, times] : account.intents)
      RC_ASSERT(times == 1 && account.last_word.contains(name));
  }));
}

TEST_CASE("the words of an earlier core aren't spoken again") {
  CHECK(rc::check([] {
    const auto rehearsed = rehearse(any_setup());
    std::set<std::pair<Utc, std::string>> spoken;
    for (const auto& words : rehearsed.words) RC_ASSERT(spoken.emplace(words.ends, words.text).second);
  }));
}
