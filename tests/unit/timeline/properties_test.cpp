// Whatever the plan, the sky and the bodies, nonsense included: a timeline that is made keeps the rules of
// safety.
#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <cstdlib>

#include "lib/timeline/filter_window.h"
#include "tests/unit/timeline/scene.h"

namespace noonfall::timeline {
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

plan::Instant near(ContactName contact, int low_s, int high_s) {
  return {plan::ContactOffset{contact, seconds_between(low_s, high_s), 0}, {}};
}

plan::Instant any_instant() {
  if (chance(3)) return {tests::at("09:01:00") + seconds_between(-7200, 7200), {}};
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
  if (chance(50))
    bracket.shape = plan::CentredBracket{*rc::gen::inRange(1, 5), Stops{1}};
  else
    bracket.shape = plan::LadderBracket{{1, 1000}, {1, 1}, Stops{2}};
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

Duration jitter_of(const Lane& lane) {
  return lane.by_hand ? Duration{} : lane.profile.release.jitter;
}

void check_window(const contacts::Circumstances& sky, const Lane& lane, const plan::Rig& rig) {
  if (!lane.window) return;
  RC_ASSERT(sky.kind == Kind::total);
  const auto& c2 = *sky.at(ContactName::c2);
  const auto& c3 = *sky.at(ContactName::c3);
  RC_ASSERT(c3.utc - c2.utc > c2.uncertainty + c3.uncertainty + 200ms);
  RC_ASSERT(lane.window->opens >= c2.utc + c2.uncertainty + 100ms - 60s);
  RC_ASSERT(lane.window->closes <= c3.utc - c3.uncertainty - 100ms + 60s);
  RC_ASSERT(lane.window->usable_from == lane.window->opens + rig.filter->handling);
  RC_ASSERT(lane.window->usable_until == lane.window->closes - rig.filter->handling);
  RC_ASSERT(lane.window->usable_from < lane.window->usable_until);
}

void check_unfiltered(const Lane& lane, const RigStep& step) {
  RC_ASSERT(lane.window.has_value());
  RC_ASSERT(step.from - jitter_of(lane) >= lane.window->usable_from || !step.back_to_back);
  RC_ASSERT(step.until <= lane.window->usable_until);
  for (const auto& target : step.targets) {
    RC_ASSERT(target.due - jitter_of(lane) >= lane.window->usable_from);
    RC_ASSERT(target.due + step.shapes[target.shape].lasts <= lane.window->usable_until);
  }
}

void check_filtered(const Lane& lane, const RigStep& step) {
  if (!lane.window) return;
  if (step.back_to_back) RC_ASSERT(step.until <= lane.window->opens || step.from >= lane.window->closes);
  for (const auto& target : step.targets)
    RC_ASSERT(target.due + step.shapes[target.shape].lasts <= lane.window->opens ||
              target.due - jitter_of(lane) >= lane.window->closes);
}

void check_times(const RigStep& step) {
  RC_ASSERT(step.from < step.until);
  RC_ASSERT(step.back_to_back == step.targets.empty());
  RC_ASSERT(std::is_sorted(step.targets.begin(), step.targets.end(),
                           [](const Target& a, const Target& b) { return a.due < b.due; }));
  for (const auto& target : step.targets) {
    RC_ASSERT(target.due >= step.from);
    RC_ASSERT(target.due + step.shapes[target.shape].lasts <= step.until);
  }
}

void check_lane(const Lane& lane) {
  for (std::size_t s = 0; s < lane.steps.size(); ++s) {
    const auto& step = lane.steps[s];
    check_times(step);
    if (s > 0) RC_ASSERT(lane.steps[s - 1].until <= step.from);
    if (lane.has_filter && step.filtered) check_filtered(lane, step);
    if (lane.has_filter && !step.filtered) check_unfiltered(lane, step);
    RC_ASSERT(step.filtered == (lane.has_filter && step.subject.kind == exposure::SubjectKind::photosphere));
  }
}

/// No two handlings of filters at once.
void check_one_operator(const Timeline& timeline) {
  std::vector<std::pair<Utc, Utc>> handlings;
  for (const auto& lane : timeline.lanes) {
    if (!lane.window) continue;
    handlings.emplace_back(lane.window->opens, lane.window->usable_from);
    handlings.emplace_back(lane.window->usable_until, lane.window->closes);
  }
  std::sort(handlings.begin(), handlings.end());
  for (std::size_t i = 1; i < handlings.size(); ++i) RC_ASSERT(handlings[i - 1].second <= handlings[i].first);
}

void check_bare_lens(const contacts::Circumstances& sky, const Lane& lane, const plan::Rig& rig) {
  if (rig.filter || !rig.sun_in_frame) return;
  RC_ASSERT(rig.focal_length <= Millimetres{35});
  for (const auto& step : lane.steps) {
    RC_ASSERT(step.subject.kind != exposure::SubjectKind::photosphere);
    const bool inside = sky.kind == Kind::total && step.from >= sky.at(ContactName::c2)->utc &&
                        step.until <= sky.at(ContactName::c3)->utc;
    for (const auto& shape : step.shapes)
      for (const auto& frame : shape.exposures) RC_ASSERT(inside || frame.aperture->tenths >= 80);
  }
}

void check_hands(const Timeline& timeline) {
  for (const auto& span : timeline.hands_on)
    for (const auto& step : timeline.lanes[span.lane].steps)
      RC_ASSERT(step.until <= span.from || step.from >= span.until);
}

void check_timeline(const contacts::Circumstances& sky, const plan::Plan& plan, const Timeline& timeline) {
  RC_ASSERT(timeline.lanes.size() == plan.rigs.size());
  for (std::size_t l = 0; l < plan.rigs.size(); ++l) {
    check_window(sky, timeline.lanes[l], plan.rigs[l]);
    check_lane(timeline.lanes[l]);
    check_bare_lens(sky, timeline.lanes[l], plan.rigs[l]);
  }
  check_one_operator(timeline);
  check_hands(timeline);
}

}  // namespace

TEST_CASE("whatever is planned, a timeline that is made keeps the rules of safety") {
  ::setenv("RC_PARAMS", "max_success=5000", 0);  // most plans are refused; what is rare must still come up
  int made = 0;
  int windows = 0;
  const bool held = rc::check([&] {
    const auto sky = any_sky();
    const auto plan = any_plan();
    const auto bodies = any_bodies();
    for (const auto strictness : {Strictness::plan_check, Strictness::on_the_day}) {
      const auto built = build(plan, sky, bodies, {}, strictness);
      RC_ASSERT(built.timeline.has_value() == !has_errors(built.findings));
      if (!built.timeline) continue;
      ++made;
      windows += static_cast<int>(std::count_if(built.timeline->lanes.begin(), built.timeline->lanes.end(),
                                                [](const Lane& lane) { return lane.window.has_value(); }));
      check_timeline(sky, plan, *built.timeline);
    }
  });
  CHECK(held);
  CHECK(made > 500);  // the generator must not drift into plans that are all refused
  CHECK(windows > 300);
}

}  // namespace noonfall::timeline
