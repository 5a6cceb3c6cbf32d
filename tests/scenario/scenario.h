// One scenario of the fault campaign: an ordinary day, what goes wrong in it, and how the day went.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "lib/shotlog/line.h"
#include "lib/timeline/timeline.h"
#include "sim/body/simulated_body.h"
#include "sim/rehearse/rehearsal.h"

namespace noonfall::scenario {

class World;  // world.h

/// Done to the day at this span after C2.
struct Act {
  Duration after_c2{};
  std::function<void(World&)> what;
};

enum class Bodies { simulated, cabled };

/// Instants are spans after C2.
struct Scenario {
  int number = 0;
  std::string topic = {};
  std::string fault = {};  // what goes wrong, for the page
  Duration begins{};
  Duration over{};          // when nothing is wrong any more; as it begins where it comes but once
  std::string effect = {};  // of a fault script, on "long" and in force meanwhile: "fault: busy"
  std::vector<Act> acts = {};
  std::vector<sim::Outage> killed = {};  // `from` is from C2, as a span after the epoch
  Bodies bodies = Bodies::simulated;     // of "long"
  double pace = 1;                       // the bodies' own times over their profiles'
  bool spares_wide = true;               // the neighbour loses nothing
};

/// All of them, by number.
[[nodiscard]] const std::vector<Scenario>& campaign();

// The tables, by what they happen to.
[[nodiscard]] std::vector<Scenario> of_simulated_bodies();
[[nodiscard]] std::vector<Scenario> of_cabled_bodies();
[[nodiscard]] std::vector<Scenario> of_the_host();

/// A picture that a body really took.
struct Picture {
  order::FrameId id;
  Utc opened;
  Utc closed;
};

struct Day {
  timeline::Timeline timeline;
  std::vector<shotlog::Line> lines;
  std::vector<std::vector<Picture>> taken;  // by rig

  [[nodiscard]] Utc c2() const { return timeline.circumstances.at(contacts::ContactName::c2)->utc; }
  [[nodiscard]] std::size_t pictures() const;
};

/// A scenario's day, or the ordinary one of its kind of bodies.
[[nodiscard]] Day play(const Scenario& scenario);
[[nodiscard]] const Day& ordinary_day(const Scenario& scenario);

/// What a person is told, and isn't on an ordinary day; the first of several alike.
struct Unusual {
  Duration from_c2{};
  std::string words;
  int times = 1;
};
[[nodiscard]] std::vector<Unusual> unusual(const Day& day, const Day& ordinary);
/// The same as text, and what became of the frames, step by step.
[[nodiscard]] std::string unusual_log(const Day& day, const Day& ordinary);

/// What the log says that isn't so, or isn't said; empty when it is truthful.
[[nodiscard]] std::string untruth(const Day& day);

}  // namespace noonfall::scenario
