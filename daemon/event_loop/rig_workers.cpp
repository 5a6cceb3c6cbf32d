#include "daemon/event_loop/rig_workers.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <system_error>

#include <fmt/format.h>

#include "daemon/journal/state_root.h"
#include "daemon/wired_body/wired_bodies.h"
#include "lib/body/profile_text.h"
#include "lib/exposure/brightness.h"
#include "sim/body/fault_text.h"
#include "sim/sky/day.h"

namespace noonfall::event_loop {
namespace {

namespace fs = std::filesystem;

class Setups {
 public:
  Setups(start::OpenedRun& opened, const RigPrograms& programs, std::size_t rig)
      : opened_{opened}, programs_{programs}, rig_{rig}, plan_{opened.timeline.rigs[rig]} {}

  worker::WorkerSetup make() {
    worker::WorkerSetup setup;
    setup.executable = programs_.camera;
    setup.folder = opened_.folder->path();
    setup.rig = static_cast<std::int32_t>(rig_);
    setup.profile = keep("profile.yaml", body::to_text(plan_.profile));
    setup.traits = {plan_.files, opened_.settings.seed.value_or(1), opened_.settings.detune};
    setup.lock = path("lock");
    switch (opened_.settings.bodies) {
      case journal::Bodies::simulated:
        simulate(setup);
        break;
      case journal::Bodies::wire:
        wire(setup);
        break;
      case journal::Bodies::real:
        connect(setup);
        break;
    }
    return setup;
  }

 private:
  void simulate(worker::WorkerSetup& setup) {
    setup.body = worker::simulated_identity(plan_.profile, setup.traits);
    setup.faults = faults();
    setup.record = path("taken.jsonl");
    setup.sky = sky();
  }

  void wire(worker::WorkerSetup& setup) {
    setup.serial = wired_body::wired_serial(setup.rig);
    setup.body = worker::cabled_identity(plan_.profile, setup.serial);
    setup.variables = wired_body::wired_variables(setup.folder, programs_.port_drivers);
    const auto plugged =
        wired_body::plug_in({programs_.wired_body, setup.folder, setup.rig, setup.profile, setup.traits,
                             setup.serial, faults(), path("taken.jsonl"), sky()});
    if (!plugged) note(plugged.error());
  }

  void connect(worker::WorkerSetup& setup) {
    setup.serial = opened_.serials[rig_];
    setup.spare = opened_.facts.spares[rig_];
    setup.body = worker::cabled_identity(plan_.profile, setup.serial);
    setup.variables = programs_.variables;
    setup.lock = lock_of(setup.serial);
  }

  /// Of the body, whichever run it is used in.
  [[nodiscard]] std::string lock_of(const std::string& serial) const {
    const auto root = journal::state_root(journal::state_environment());
    if (!root) return path("lock");
    const auto folder = fs::path{*root} / "bodies";
    std::error_code failed;
    fs::create_directories(folder, failed);
    auto name = serial;
    std::ranges::replace_if(
        name, [](char c) { return c == '/' || c == '.'; }, '_');
    return failed ? path("lock") : (folder / (name + ".lock")).string();
  }

  [[nodiscard]] std::string faults() {
    const bool some = rig_ < opened_.faults.size() && !opened_.faults[rig_].empty();
    return some ? keep("faults.yaml", sim::to_script(plan_.name, opened_.faults[rig_])) : std::string{};
  }

  /// For its small pictures, where the rig's field of view is known. The filter is what the exposure table
  /// takes it for.
  [[nodiscard]] std::string sky() {
    if (!plan_.framing || !plan_.filtered_light) return {};
    const auto& at = opened_.timeline.circumstances;
    const double density =
        (sim::disc_q - exposure::disc_above_grey.value - plan_.filtered_light->sun.q) / std::log2(10.0);
    sim::Day day{at.eclipse,
                 at.site,
                 opened_.facts.moved,
                 plan_.framing->width,
                 plan_.framing->height,
                 density,
                 plan_.filtered_light->magnitudes_per_airmass};
    for (const auto& aiming : plan_.framing->aimings) day.aims.push_back({aiming.until, aiming.centred});
    return keep("sky.json", sim::to_text(day));
  }

  [[nodiscard]] std::string file(const char* what) const { return fmt::format("rig-{}.{}", rig_, what); }
  [[nodiscard]] std::string path(const char* what) const {
    return (fs::path{opened_.folder->path()} / file(what)).string();
  }
  [[nodiscard]] std::string keep(const char* what, const std::string& text) {
    const auto written = opened_.folder->write_atomically(file(what), text);
    if (!written) note(written.error());
    return path(what);
  }
  void note(const Diagnostics& errors) { opened_.notes.push_back(on_one_line(errors.front())); }

  start::OpenedRun& opened_;
  const RigPrograms& programs_;
  std::size_t rig_;
  const timeline::RigTimeline& plan_;
};

}  // namespace

worker::WorkerSetup worker_setup(start::OpenedRun& opened, const RigPrograms& programs, std::size_t rig) {
  return Setups{opened, programs, rig}.make();
}

}  // namespace noonfall::event_loop
