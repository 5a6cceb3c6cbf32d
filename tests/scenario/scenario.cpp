#include "tests/scenario/scenario.h"

#include <algorithm>
#include <map>
#include <regex>
#include <set>

#include <fmt/format.h>

#include "daemon/status/event_lines.h"
#include "lib/shotlog/account.h"
#include "sim/body/fault_script.h"
#include "tests/scenario/world.h"

namespace noonfall::scenario {
namespace {

using namespace std::chrono_literals;

/// Told when a thread of its own has done it, whatever the day's time.
constexpr const char* on_disk = "the new shots.jsonl is on the disk";

std::string span_text(Duration from_c2) {
  return fmt::format("C2 {} {:5.1f} s", from_c2 < 0s ? '-' : '+', in_seconds(std::chrono::abs(from_c2)));
}

bool is_rehearsed(const Scenario& scenario) {
  return !scenario.killed.empty() || scenario.pace != 1;
}

/// One core after the other over bodies that stay, which the rehearsal can do and a daemon's day can't.
Day rehearsed(const Scenario& scenario) {
  const auto& ordinary = ordinary_day(Scenario{});
  sim::RehearsalSetup setup;
  setup.timeline = ordinary.timeline;
  setup.facts.plan_hash = std::string(64, '0');
  setup.start = ordinary.c2() - 90s;
  setup.detune = scenario.pace;
  for (auto outage : scenario.killed) {
    outage.from = ordinary.c2() + outage.from.time_since_epoch();
    setup.outages.push_back(outage);
  }
  std::vector<std::string> names;
  for (const auto& rig : setup.timeline.rigs) names.push_back(rig.name);
  if (const auto script = fault_script(scenario); !script.empty())
    setup.faults = sim::read_faults(script, setup.timeline.circumstances, names).value();
  const auto went = sim::rehearse(setup);
  Day day{ordinary.timeline, went.lines, {}};
  for (const auto& rig : went.taken) {
    auto& taken = day.taken.emplace_back();
    for (const auto& frame : rig) taken.push_back({frame.id, frame.opened, frame.closed});
  }
  return day;
}

/// What a person would be told of a day.
std::vector<status::Event> events_of(const Day& day) {
  status::EventLines lines;
  std::vector<status::Event> events;
  for (const auto& line : day.lines) {
    if (auto event = lines.take(line)) events.push_back(std::move(*event));
  }
  return events;
}

/// Whatever the folder is called.
std::string words_of(const status::Event& event) {
  static const std::regex folder{R"(/\S*/run\b)"};
  const auto words = event.who + (event.what.empty() ? "" : ", " + event.what);
  return std::regex_replace(words, folder, "FOLDER");
}

std::string without_figures(std::string words) {
  std::erase_if(words, [](char c) { return c == '.' || (c >= '0' && c <= '9'); });
  return words;
}

std::string tally_text(const shotlog::Tally& tally) {
  std::string text = fmt::format("{} fired", tally.fired);
  const auto add = [&](int count, const char* word) {
    if (count > 0) text += fmt::format(", {} {}", count, word);
  };
  add(tally.failed, "failed");
  add(tally.unknown, "unknown");
  add(tally.cancelled, "cancelled");
  add(tally.skipped, "skipped");
  add(tally.open, "open");
  return text;
}

std::map<std::string, shotlog::Tally> tallies(const Day& day) {
  std::map<std::string, shotlog::Tally> by_step;
  for (const auto& [name, frame] : shotlog::account_of(day.lines).frames)
    by_step[name.rig + ": " + name.step].count(frame);
  return by_step;
}

}  // namespace

std::size_t Day::pictures() const {
  std::size_t count = 0;
  for (const auto& rig : taken) count += rig.size();
  return count;
}

const std::vector<Scenario>& campaign() {
  static const auto all = [] {
    std::vector<Scenario> scenarios;
    for (auto& part : {of_simulated_bodies(), of_cabled_bodies(), of_the_host()})
      scenarios.insert(scenarios.end(), part.begin(), part.end());
    return scenarios;
  }();
  return all;
}

Day play(const Scenario& scenario) {
  return is_rehearsed(scenario) ? rehearsed(scenario) : World{scenario}.play();
}

const Day& ordinary_day(const Scenario& scenario) {
  static const Scenario simulated{};
  static const Scenario cabled{.bodies = Bodies::cabled};
  static const Day of_simulated = World{simulated}.play();
  if (is_rehearsed(scenario)) {
    static const Day of_rehearsal = rehearsed(simulated);
    return of_rehearsal;
  }
  if (scenario.bodies == Bodies::simulated) return of_simulated;
  static const Day of_cabled = World{cabled}.play();
  return of_cabled;
}

std::vector<Unusual> unusual(const Day& day, const Day& ordinary) {
  std::set<std::string> usual{without_figures(on_disk)};
  for (const auto& event : events_of(ordinary)) usual.insert(without_figures(words_of(event)));
  std::vector<Unusual> found;
  for (const auto& event : events_of(day)) {
    const auto words = words_of(event);
    const auto kind = without_figures(words);
    if (usual.contains(kind)) continue;
    if (!found.empty() && without_figures(found.back().words) == kind) {
      ++found.back().times;
    } else {
      found.push_back({event.at - day.c2(), words});
    }
  }
  return found;
}

std::string unusual_log(const Day& day, const Day& ordinary) {
  std::string text;
  for (const auto& each : unusual(day, ordinary)) {
    const auto times = each.times > 1 ? fmt::format(" ({} alike)", each.times) : "";
    text += fmt::format("{}  {}{}\n", span_text(each.from_c2), each.words, times);
  }
  for (const auto& [step, tally] : tallies(day)) text += fmt::format("{}: {}\n", step, tally_text(tally));
  return text;
}

std::string untruth(const Day& day) {
  std::string text;
  const auto account = shotlog::account_of(day.lines);
  std::map<shotlog::FrameName, int> pictures;
  for (std::size_t rig = 0; rig < day.taken.size(); ++rig) {
    const auto& plan = day.timeline.rigs[rig];
    for (const auto& picture : day.taken[rig]) {
      const auto& step = plan.steps.at(static_cast<std::size_t>(picture.id.step));
      const shotlog::FrameName name{plan.name, step.name, picture.id.set, picture.id.frame};
      const auto shown = fmt::format("{} {} {}.{}", name.rig, name.step, name.set, name.frame);
      if (++pictures[name] > 1) text += shown + " was taken twice\n";
      const auto told = account.frames.find(name);
      if (told == account.frames.end() || !told->second.asked) {
        text += shown + " was taken and never asked for\n";
      } else if (!told->second.is(order::Outcome::fired) && !told->second.is(order::Outcome::unknown)) {
        text += shown + " was taken and is said to be " +
                (told->second.last ? std::string{to_text(told->second.last->result)} : "open") + "\n";
      }
      const bool unfiltered = !step.filtered && plan.window;
      if (unfiltered &&
          (picture.opened < plan.window->usable_from || picture.closed > plan.window->usable_until))
        text += shown + " was taken outside the filter window\n";
    }
  }
  for (const auto& [name, frame] : account.frames) {
    const auto shown = fmt::format("{} {} {}.{}", name.rig, name.step, name.set, name.frame);
    if (frame.is(order::Outcome::fired) && !pictures.contains(name))
      text += shown + " is said to be fired and was not taken\n";
    if (frame.asked && !frame.last) text += shown + " has no last word\n";
  }
  if (account.ended != shotlog::RunEnd::done) text += "the log doesn't say that the plan is done\n";
  return text;
}

}  // namespace noonfall::scenario
