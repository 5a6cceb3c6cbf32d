#include "tests/unit/plan/any_plan.h"

#include <rapidcheck.h>

#include <numeric>

namespace noonfall::plan {
namespace {

using namespace std::chrono_literals;

bool flip() {
  return *rc::gen::arbitrary<bool>();
}

/// Both ends included.
int between(int low, int high) {
  return *rc::gen::inRange(low, high + 1);
}
/// With up to `places` decimals.
double decimal(int low, int high, int places) {
  int grain = 1;
  for (int n = 0; n < places; ++n) grain *= 10;
  return between(low * grain, high * grain) / static_cast<double>(grain);
}
Duration span(Duration low, Duration high) {
  const Duration grain = *rc::gen::element(Duration{1us}, Duration{1ms}, Duration{1s}, Duration{1min});
  const auto drawn = Duration{*rc::gen::inRange(low.count(), high.count() + 1)} / grain * grain;
  return std::max(low, drawn);
}

template <class T, class Draw>
std::optional<T> maybe(Draw draw) {
  return flip() ? std::optional<T>{draw()} : std::nullopt;
}

/// Letters, digits and whatever YAML or we could stumble over, `end` characters apart.
std::string text(std::initializer_list<const char*> pieces) {
  std::string out = *rc::gen::element<std::string>("a", "é", "7", "null", "-", "true");
  const int length = between(0, 8);
  for (int n = 0; n < length; ++n) {
    out += *rc::gen::elementOf(std::vector<std::string>(pieces.begin(), pieces.end()));
  }
  return out;
}
std::string name(int number) {
  return text({"b", "Z", "0", " ", "-", ":", "#", "{", "]", ",", "&", "*", "!", "%", "@", "\\", "ü", "日"}) +
         "x" + std::to_string(number);
}
std::string words() {
  return text({"b", " ", "\"", "'", ",", ": ", "\\", "é", "…", "halfway"}) + "!";
}

InstantValue any_instant_value() {
  if (between(0, 5) == 0) return Utc{std::chrono::sys_days{std::chrono::year{2027} / 8 / 2}} + span(0s, 24h);
  ContactOffset at{*rc::gen::elementOf(contacts::all_contacts)};
  const int sign = flip() ? 1 : -1;
  if (between(0, 3) == 0) {
    at.percent_of_totality = sign * decimal(0, 1000, 3);
  } else {
    at.offset = sign * span(0s, 24h);
  }
  return at;
}
Instant any_instant() {
  return {any_instant_value(), {}};
}

exposure::Shutter any_shutter(int least_numerator, int most_numerator) {
  const int numerator = between(least_numerator, most_numerator);
  const int denominator = *rc::gen::element(1, 2, 3, 10, 13, 60, 125, 2000, 8000);
  const int common = std::gcd(numerator, denominator);
  return {numerator / common, denominator / common};
}

template <class T, class Draw, class Less>
Limits<T> any_limits(Draw draw, Less less) {
  const T one = draw();
  const T other = flip() ? draw() : one;
  return less(other, one) ? Limits<T>{other, one} : Limits<T>{one, other};
}

ExposureChoice any_exposure() {
  ExposureChoice choice;
  choice.shutter = maybe<Limits<exposure::Shutter>>([] {
    return any_limits<exposure::Shutter>(
        [] { return any_shutter(1, 900); },
        [](auto a, auto b) { return nominal_seconds(a) < nominal_seconds(b); });
  });
  choice.aperture = maybe<Limits<exposure::FNumber>>([] {
    return any_limits<exposure::FNumber>([] { return exposure::FNumber{between(7, 1280)}; },
                                         [](auto a, auto b) { return a.tenths < b.tenths; });
  });
  choice.iso = maybe<Limits<exposure::Iso>>([] {
    return any_limits<exposure::Iso>([] { return exposure::Iso{between(6, 409600)}; },
                                     [](auto a, auto b) { return a.value < b.value; });
  });
  return choice;
}

Stops any_stops() {
  return flip() ? Stops{between(1, 30) / 3.0} : Stops{decimal(1, 10, 2)};
}

BracketOrder any_order() {
  return *rc::gen::element(BracketOrder::short_first, BracketOrder::long_first, BracketOrder::mirrored);
}

Bracket any_bracket() {
  switch (between(0, 2)) {
    case 0:
      return {CentredBracket{between(1, 100), any_stops()}, any_order(), {}};
    case 1:
      return {LadderBracket{{1, between(10, 8000)}, exposure::Shutter{between(1, 900), 1}, any_stops()},
              any_order(),
              {}};
    default:
      break;
  }
  ListBracket list;
  const int count = between(1, 5);
  for (int n = 0; n < count; ++n) list.shutters.push_back(any_shutter(1, 900));
  return {list, BracketOrder::short_first, {}};
}

void keep_one_shutter(ExposureChoice& exposure, const std::optional<Bracket>& bracket) {
  if (bracket && !std::holds_alternative<CentredBracket>(bracket->shape)) exposure.shutter.reset();
}

SetChoice any_set() {
  SetChoice set;
  set.bracket = maybe<Bracket>(any_bracket);
  auto exposure = any_exposure();
  keep_one_shutter(exposure, set.bracket);
  if (exposure != ExposureChoice{}) set.exposure = exposure;
  if (!set.exposure && !set.bracket)
    set.exposure = ExposureChoice{{}, {}, Limits<exposure::Iso>{{100}, {100}}, {}};
  return set;
}

Pace any_pace() {
  switch (between(0, 3)) {
    case 0:
      return Every{any_instant(), any_instant(), span(100ms, 24h)};
    case 1:
      return Spread{any_instant(), any_instant(), between(1, 10'000)};
    case 2:
      return BackToBack{any_instant(), any_instant()};
    default:
      break;
  }
  At at;
  const int count = between(1, 4);
  for (int n = 0; n < count; ++n) at.instants.push_back(any_instant());
  return at;
}

exposure::Subject any_subject() {
  using exposure::SubjectKind;
  const auto kind = *rc::gen::element(SubjectKind::photosphere, SubjectKind::diamond_ring, SubjectKind::beads,
                                      SubjectKind::chromosphere, SubjectKind::prominences,
                                      SubjectKind::corona, SubjectKind::earthshine, SubjectKind::landscape);
  if (kind != SubjectKind::corona) return {kind};
  const double low = between(5, 2000) / 100.0;
  return {kind, low, flip() ? low : 20};
}

Shooting any_shooting() {
  Shooting shooting;
  shooting.subject = any_subject();
  shooting.pace = any_pace();
  const bool back_to_back = std::holds_alternative<BackToBack>(shooting.pace);
  shooting.exposure = any_exposure();
  shooting.unfinished = flip() ? Unfinished::drop : Unfinished::keep;
  shooting.leave_free_frames = maybe<int>([] { return between(1, 10'000); });
  if (!back_to_back) shooting.patience = maybe<Duration>([] { return span(0s, 10min); });
  if (back_to_back && flip()) {
    shooting.drive = body::Drive::continuous;
  } else if (flip()) {
    shooting.bracket = maybe<Bracket>(any_bracket);
    keep_one_shutter(shooting.exposure, shooting.bracket);
  } else {
    const int count = between(1, 3);
    for (int n = 0; n < count; ++n) shooting.sets.push_back(any_set());
  }
  return shooting;
}

void name_rigs(Step& step, const Plan& plan) {
  step.all_rigs = between(0, 3) == 0;
  if (step.all_rigs) return;
  const int count = between(1, static_cast<int>(plan.rigs.size()));
  for (int n = 0; n < count; ++n) step.rigs.push_back(plan.rigs[static_cast<std::size_t>(n)].name);
}

Step any_step(const Plan& plan) {
  Step step;
  const auto number = plan.steps.size();
  step.name = name(static_cast<int>(number));
  step.only_if = maybe<OnlyIf>([] { return OnlyIf{flip(), span(0s, 1h), {}}; });
  if (between(0, 3) == 0) {
    name_rigs(step, plan);
    HandsOn hands{any_instant(), any_instant(), flip() ? words() : ""};
    if (flip()) {
      hands.lasts = span(5s, 1h);
      hands.every = std::max(hands.lasts, span(1min, 24h));
    } else {
      hands.aim = maybe<Instant>(any_instant);
    }
    step.what = hands;
  } else {
    name_rigs(step, plan);
    step.what = any_shooting();
  }
  return step;
}

/// Of a step without UTC instants, which have no mirror image.
Step plain_step() {
  Step step;
  step.name = "to mirror";
  step.all_rigs = true;
  step.what = Shooting{};
  std::get<Shooting>(step.what).pace = At{{{ContactOffset{}, {}}}};
  return step;
}
Step any_mirror() {
  Step step;
  step.name = "mirror";
  step.what = MirrorOf{"to mirror", {}};
  step.only_if = maybe<OnlyIf>([] { return OnlyIf{flip(), span(0s, 1h), {}}; });
  return step;
}

Rig any_rig(int number) {
  Rig rig;
  rig.name = name(number);
  switch (between(0, 2)) {
    case 0:
      rig.body = SimulatedBody{"mirrorless-20"};
      break;
    case 1:
      rig.body = CabledBody{name(number), "mirror-24", *rc::gen::element<std::string>("", "spare 7")};
      break;
    default:
      rig.body = ByHand{};
      break;
  }
  rig.focal_length = {decimal(1, 5000, 2)};
  rig.sensor = maybe<Sensor>([] {
    return Sensor{{decimal(1, 200, 2)}, {decimal(1, 200, 2)}, {decimal(1, 50, 3)}};
  });
  rig.mount = flip() ? Mount::fixed : Mount::tracking;
  rig.exposure = any_exposure();
  rig.files = *rc::gen::element(body::Files::raw, body::Files::jpeg, body::Files::raw_and_jpeg);
  rig.filter = maybe<Filter>([] {
    return Filter{decimal(3, 7, 2),
                  any_instant(),
                  any_instant(),
                  span(1s, 2min),
                  flip() ? words() + " filter" : "",
                  flip() ? words() + " filter" : "",
                  {}};
  });
  rig.sun_in_frame = flip();
  rig.person = flip() ? name(number) : "";
  return rig;
}

}  // namespace

Plan any_plan() {
  Plan plan;
  plan.title = flip() ? words() : "";
  plan.eclipse = Date{std::chrono::year{between(1900, 2199)}, std::chrono::August, std::chrono::day{2}};
  plan.site = {{decimal(-90, 90, 6)},
               {decimal(-180, 180, 6)},
               {decimal(-500, 9000, 1)},
               flip(),
               flip() ? "Etc/GMT+5" : "",
               {},
               maybe<Metres>([] { return Metres{decimal(0, 100'000, 1)}; }),
               maybe<Metres>([] { return Metres{decimal(0, 10'000, 1)}; })};
  plan.site.horizon = maybe<Degrees>([] { return Degrees{decimal(-5, 60, 2)}; });
  plan.dut1 = maybe<Duration>([] { return Duration{between(-899'999, 899'999)}; });
  plan.sky.counted = flip();
  if (plan.sky.counted) plan.sky.extinction = maybe<double>([] { return decimal(0, 2, 3); });
  const int rigs = between(1, 3);
  for (int n = 0; n < rigs; ++n) plan.rigs.push_back(any_rig(n));
  const int steps = between(1, 4);
  for (int n = 0; n < steps; ++n) plan.steps.push_back(any_step(plan));
  if (flip()) {
    plan.steps.push_back(any_mirror());
    plan.steps.push_back(plain_step());
  }
  const int cues = between(0, 2);
  for (int n = 0; n < cues; ++n) plan.cues.push_back({any_instant(), words(), {}});
  return plan;
}

}  // namespace noonfall::plan
