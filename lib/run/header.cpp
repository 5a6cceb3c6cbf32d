#include "lib/run/header.h"

#include <algorithm>
#include <vector>

#include "lib/body/profile_text.h"
#include "lib/shotlog/checksum.h"

namespace noonfall::run {
namespace {

/// Of each set in turn; empty where all are alike.
std::vector<int> frames_in_turn(const timeline::RigStep& step) {
  std::vector<int> out;
  for (const auto& shape : step.shapes) out.push_back(static_cast<int>(shape.exposures.size()));
  const bool alike = std::all_of(out.begin(), out.end(), [&](int frames) { return frames == out.front(); });
  return alike ? std::vector<int>{} : out;
}

shotlog::PlannedStep planned(const timeline::RigStep& step) {
  const auto per_set = step.shapes.empty() ? 0 : static_cast<int>(step.shapes.front().exposures.size());
  return {.step = step.name,
          .plan_line = step.mark.line,
          .subject = exposure::to_text(step.subject),
          .filtered = step.filtered,
          .back_to_back = step.back_to_back,
          .from = step.first_opening(),
          .until = step.until,
          .sets = step.predicted_sets,
          .frames = step.predicted_frames(),
          .frames_per_set = per_set,
          .frames_in_turn = frames_in_turn(step)};
}

shotlog::PlannedRig planned(const timeline::RigTimeline& given) {
  shotlog::PlannedRig rig;
  rig.rig = given.name;
  if (!given.by_hand) {
    rig.body = given.profile.name;
    rig.profile_hash = shotlog::sha256_text(body::to_text(given.profile));
  }
  if (given.window) {
    rig.window = {given.window->opens, given.window->usable_from, given.window->usable_until,
                  given.window->closes};
  }
  for (const auto& step : given.steps) rig.steps.push_back(planned(step));
  if (given.corona) rig.corona = {given.corona->light, given.corona->planned};
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
  for (std::size_t n = 0; n < timeline.rigs.size(); ++n) {
    header.rigs.push_back(planned(timeline.rigs[n]));
    if (n < facts.serials.size()) header.rigs.back().serial = facts.serials[n];
  }
  return header;
}

bool is_same_plan(shotlog::Header one, shotlog::Header other) {
  for (auto* each : {&one, &other}) {
    for (auto& rig : each->rigs) {
      rig.serial.clear();
      rig.corona.reset();
    }
  }
  return one == other;
}

contacts::Circumstances as_logged(contacts::Circumstances computed, const shotlog::Header& header) {
  auto logged = computed;
  logged.kind = header.kind;
  logged.dut1 = header.dut1;
  logged.delta_t = header.delta_t;
  logged.contacts = {};
  for (const auto& named : header.contacts) {
    const auto& known = computed.at(named.name);
    auto contact = known ? *known : computed.at(contacts::ContactName::mid).value_or(contacts::Contact{});
    contact.utc = named.utc - header.moved;
    contact.uncertainty = named.uncertainty;
    logged.contacts[static_cast<std::size_t>(named.name)] = std::move(contact);
  }
  return logged;
}

}  // namespace noonfall::run
