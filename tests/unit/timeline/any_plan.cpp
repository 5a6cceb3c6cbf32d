#include "tests/unit/timeline/any_plan.h"

#include <rapidcheck.h>

namespace noonfall::timeline::tests {
namespace {

using namespace std::chrono_literals;
using contacts::ContactName;
using contacts::Kind;

Duration between(Duration low, Duration high) {
  return Duration{*rc::gen::inRange(low.count(), high.count() + 1)};
}

/// Whole seconds in nine of ten cases, so that instants meet.
Duration seconds_between(int low, int high) {
  const auto span = Duration{std::chrono::seconds{*rc::gen::inRange(low, high + 1)}};
  return *rc::gen::inRange(0, 10) == 0 ? span + between(-20ms, 20ms) : span;
}

template <class T>
T one_of(const std::vector<T>& values) {
  return *rc::gen::elementOf(values);
}

bool chance(int percent) {
  return *rc::gen::inRange(0, 100) < percent;
}

plan::Instant near(ContactName contact, int low_s, int high_s) {
  return {plan::ContactOffset{contact, seconds_between(low_s, high_s), 0}, {}};
}

plan::Instant any_instant() {
  if (chance(3)) return {at("09:01:00") + seconds_between(-7200, 7200), {}};
  if (chance(5))
    return {plan::ContactOffset{ContactName::mid, {}, static_cast<double>(*rc::gen::inRange(-80, 80))}, {}};
  return near(one_of<ContactName>({ContactName::c2, ContactName::c2, ContactName::mid, ContactName::c3,
                                   ContactName::c3, ContactName::c1, ContactName::c4}),
              -60, 60);
}

/// Two instants, mostly in order.
std::pair<plan::Instant, plan::Instant> any_span() {
  if (chance(20)) return {any_instant(), any_instant()};
  const auto contact =
      one_of<ContactName>({ContactName::c1, ContactName::c2, ContactName::c3, ContactName::mid});
  const auto begin = seconds_between(-60, 60);
  return {{plan::ContactOffset{contact, begin, 0}, {}},
          {plan::ContactOffset{contact, begin + seconds_between(1, 60), 0}, {}}};
}

plan::Pace any_pace() {
  const auto [from, until] = any_span();
  switch (*rc::gen::inRange(0, 4)) {
    case 0:
      return plan::BackToBack{from, until};
    case 1:
      return plan::Every{from, until, seconds_between(0, 40), chance(30)};
    case 2:
      return plan::Spread{from, until, *rc::gen::inRange(0, 6)};
    default:
      break;
  }
  plan::At at;
  for (int n = *rc::gen::inRange(1, 4); n > 0; --n) at.instants.push_back(any_instant());
  return at;
}

plan::ExposureChoice any_exposure() {
  plan::ExposureChoice choice;
  if (chance(40)) {
    const auto shutter = one_of<exposure::Shutter>({{1, 4000}, {1, 500}, {1, 30}, {1, 1}, {2, 1}});
    choice.shutter = plan::Limits<exposure::Shutter>{shutter, shutter};
  }
  if (chance(20)) choice.iso = plan::Limits<exposure::Iso>{{100}, {800}};
  if (chance(20)) {
    const auto aperture = one_of<exposure::FNumber>({{28}, {56}, {110}});
    choice.aperture = plan::Limits<exposure::FNumber>{aperture, aperture};
  }
  return choice;
}

std::optional<plan::Bracket> any_bracket() {
  if (chance(60)) return {};
  plan::Bracket bracket;
  if (chance(50)) {
    bracket.shape = plan::CentredBracket{*rc::gen::inRange(1, 5), Stops{1}};
  } else {
    bracket.shape = plan::LadderBracket{{1, 1000}, {1, 1}, Stops{2}};
  }
  bracket.order = one_of<plan::BracketOrder>(
      {plan::BracketOrder::short_first, plan::BracketOrder::long_first, plan::BracketOrder::mirrored});
  return bracket;
}

plan::Shooting any_shooting() {
  plan::Shooting shooting;
  shooting.subject = one_of<exposure::Subject>({{exposure::SubjectKind::photosphere},
                                                {exposure::SubjectKind::prominences},
                                                {exposure::SubjectKind::beads},
                                                {exposure::SubjectKind::corona, 0.1, 2},
                                                {exposure::SubjectKind::landscape}});
  shooting.pace = any_pace();
  shooting.drive = chance(20) ? body::Drive::continuous : body::Drive::single;
  shooting.exposure = any_exposure();
  shooting.bracket = any_bracket();
  if (chance(20)) shooting.sets = {{any_exposure(), any_bracket(), {}}, {any_exposure(), {}, {}}};
  if (chance(20)) shooting.leave_free_frames = *rc::gen::inRange(0, 30);
  if (chance(30)) shooting.patience = between(0s, 5s);
  return shooting;
}

plan::Rig any_rig(std::string name) {
  plan::Rig rig;
  rig.name = std::move(name);
  rig.body = chance(15) ? std::variant<plan::SimulatedBody, plan::CabledBody, plan::ByHand>{plan::ByHand{}}
                        : plan::SimulatedBody{one_of<std::string>({"mirrorless-20", "mirror-24", "odd"})};
  rig.focal_length = one_of<Millimetres>({{24}, {35}, {50}, {600}});
  rig.mount = plan::Mount::tracking;
  rig.exposure.iso = plan::Limits<exposure::Iso>{{200}, {200}};
  rig.exposure.aperture = plan::Limits<exposure::FNumber>{{80}, {80}};
  rig.sun_in_frame = !chance(10);
  if (chance(25)) return rig;
  rig.filter = plan::Filter{};
  rig.filter->opens = chance(70) ? near(ContactName::c2, -50, -20) : any_instant();
  rig.filter->closes = chance(70) ? near(ContactName::c3, 20, 50) : any_instant();
  rig.filter->handling = seconds_between(0, 12);
  return rig;
}

}  // namespace

contacts::Circumstances any_sky() {
  auto sky = tests::sky(chance(85) ? Kind::total : one_of<Kind>({Kind::annular, Kind::partial, Kind::none}));
  const bool sound = chance(80);
  for (auto& contact : sky.contacts) {
    if (!contact) continue;
    contact->utc += sound ? seconds_between(-20, 20) : seconds_between(-600, 600);
    contact->uncertainty = sound ? between(0s, 10s) : between(0s, 300s);
  }
  return sky;
}

plan::Plan any_plan() {
  plan::Plan plan;
  for (int n = *rc::gen::inRange(1, 4); n > 0; --n) plan.rigs.push_back(any_rig("rig " + std::to_string(n)));
  for (int n = *rc::gen::inRange(1, 7); n > 0; --n) {
    plan::Step step;
    step.name = "step " + std::to_string(n);
    step.all_rigs = chance(20);
    step.rigs = {one_of(plan.rigs).name};
    if (chance(80)) {
      step.what = any_shooting();
    } else {
      const auto [from, until] = any_span();
      step.what = plan::HandsOn{from, until, ""};
    }
    if (!plan.steps.empty() && chance(15)) step.what = plan::MirrorOf{plan.steps.front().name, {}};
    plan.steps.push_back(step);
  }
  return plan;
}

Profiles any_bodies() {
  auto profiles = tests::profiles_at_hand();
  auto& odd = profiles["odd"] = profiles.at("mirrorless-20");
  odd.release = {between(0ms, 500ms), between(0ms, 400ms)};
  odd.setting_times = {between(0ms, 900ms), between(0ms, 900ms), between(0ms, 900ms), between(0ms, 900ms)};
  odd.readout = between(0ms, 500ms);
  odd.buffer = {static_cast<double>(*rc::gen::inRange(10, 900))};
  odd.write_rate = {static_cast<double>(*rc::gen::inRange(1, 200))};
  return profiles;
}

}  // namespace noonfall::timeline::tests
