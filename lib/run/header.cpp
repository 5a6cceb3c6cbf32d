#include "lib/run/header.h"

#include "lib/body/profile_text.h"
#include "lib/shotlog/checksum.h"

namespace noonfall::run {
namespace {

shotlog::PlannedStep planned(const timeline::RigStep& step) {
  const auto per_set = step.shapes.empty() ? 0 : static_cast<int>(step.shapes.front().exposures.size());
  return {step.name,     step.mark.line,      exposure::to_text(step.subject),
          step.filtered, step.back_to_back,   step.from,
          step.until,    step.predicted_sets, step.predicted_frames(),
          per_set};
}

shotlog::PlannedRig planned(const timeline::Lane& lane) {
  shotlog::PlannedRig rig;
  rig.rig = lane.rig;
  if (!lane.by_hand) {
    rig.body = lane.profile.name;
    rig.profile_hash = shotlog::sha256_text(body::to_text(lane.profile));
  }
  if (lane.window) {
    rig.window = {lane.window->opens, lane.window->usable_from, lane.window->usable_until,
                  lane.window->closes};
  }
  for (const auto& step : lane.steps) rig.steps.push_back(planned(step));
  return rig;
}

}  // namespace

shotlog::Header header_of(const timeline::Timeline& timeline, const Facts& facts) {
  const auto& sky = timeline.circumstances;
  shotlog::Header header;
  header.mode = facts.mode;
  header.title = timeline.title;
  header.plan_hash = facts.plan_hash;
  header.seed = facts.seed;
  header.moved = facts.moved;
  header.eclipse = sky.eclipse;
  header.kind = sky.kind;
  header.site = sky.site;
  header.zone = timeline.zone;
  header.limb = facts.limb;
  header.solar_radius_arcsec = facts.solar_radius_arcsec;
  header.dut1 = sky.dut1;
  header.delta_t = sky.delta_t;
  for (const auto name : contacts::all_contacts) {
    if (const auto& contact = sky.at(name))
      header.contacts.push_back({name, contact->utc, contact->uncertainty});
  }
  for (const auto& lane : timeline.lanes) header.rigs.push_back(planned(lane));
  return header;
}

}  // namespace noonfall::run
