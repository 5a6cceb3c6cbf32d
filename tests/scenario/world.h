// The daemon's day in virtual time, as a scenario's acts reach into it.
#pragma once

#include <memory>
#include <string>

#include "tests/scenario/cable.h"
#include "tests/scenario/scenario.h"
#include "tests/unit/event_loop/virtual_day.h"

namespace noonfall::scenario {

/// The plan of all scenarios.
[[nodiscard]] const std::string& default_plan();

class World {
 public:
  /// `setup`: what else the day has otherwise.
  explicit World(const Scenario& scenario, event_loop::tests::DaySetup setup = {.plan = default_plan()});

  /// From its start to its end, with the scenario's acts and what is wrong with a cable's calls.
  [[nodiscard]] Day play();

  [[nodiscard]] Utc c2() const { return day->timeline.circumstances.at(contacts::ContactName::c2)->utc; }
  /// Until this span after C2, or the end.
  void until(Duration after_c2);

  std::unique_ptr<Cable> cable;  // none where bodies are simulated
  std::unique_ptr<event_loop::tests::VirtualDay> day;
  int power_cycles = 0;

 private:
  const Scenario& scenario_;
};

/// Of "long" alone; empty for none.
[[nodiscard]] std::string fault_script(const Scenario& scenario);

}  // namespace noonfall::scenario
