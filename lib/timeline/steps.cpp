#include "lib/timeline/steps.h"

#include <algorithm>

#include <fmt/format.h>

#include "lib/base/match.h"
#include "lib/base/nearest_word.h"
#include "lib/body/model.h"
#include "lib/exposure/scale.h"
#include "lib/plan/mirror.h"
#include "lib/plan/resolve.h"
#include "lib/timeline/exposures.h"
#include "lib/timeline/left_out.h"
#include "lib/timeline/light.h"
#include "lib/timeline/pace.h"

namespace noonfall::timeline {
namespace {

using namespace std::chrono_literals;

constexpr Duration usual_patience = 2s;
constexpr Duration least_lead = 1s;

std::optional<body::Profile> find_profile(const plan::Rig& rig, const Profiles& profiles,
                                          Diagnostics& findings) {
  const auto name = std::visit(
      Match{[](const plan::ByHand&) { return std::string{}; }, [](const auto& body) { return body.profile; }},
      rig.body);
  if (std::holds_alternative<plan::ByHand>(rig.body)) return profile_by_hand();
  if (const auto found = profiles.find(name); found != profiles.end()) return found->second;
  std::vector<std::string_view> known;
  std::ranges::transform(profiles, std::back_inserter(known),
                         [](const auto& entry) { return std::string_view{entry.first}; });
  const auto near = nearest_word(name, known);
  findings.push_back(error_at(rig.body_mark, "unknown-profile",
                              fmt::format("there is no body profile \"{}\" for {}", name, rig.name),
                              near.empty() ? fmt::format("one of: {}", fmt::join(known, ", ")) : near));
  return {};
}

/// Time for the step's settings and half as much again, and at least a second.
Duration lead_of(const body::Profile& profile, const std::vector<SetShape>& shapes) {
  Duration settings{};
  for (const auto& shape : shapes)
    settings = std::max(settings, body::setting_time(profile, nullptr, shape.exposures.front()));
  settings += profile.setting_times.drive;
  return std::max(least_lead, settings * 3 / 2 + 500ms);
}

class RigMaker {
 public:
  RigMaker(const Given& given, const plan::Rig& rig, RigTimeline& planned, std::vector<Skipped>& skipped,
           Diagnostics& findings)
      : given_{given}, rig_{rig}, planned_{planned}, skipped_{skipped}, findings_{findings} {}

  void add(std::size_t plan_step, const plan::Shooting& shooting) const {
    const auto& step = given_.plan.steps[plan_step];
    if (shooting.subject.kind == exposure::SubjectKind::photosphere && !rig_.filter) {
      findings_.push_back(error_at(
          step.mark, "photosphere-unfiltered",
          fmt::format("\"{}\" shoots the photosphere on {}, which has no filter", step.name, rig_.name),
          "a rig with a filter, or another subject"));
      return;
    }
    if (shooting.drive == body::Drive::continuous && planned_.profile.continuous.empty()) {
      findings_.push_back(error_at(step.mark, "no-continuous-drive",
                                   fmt::format("\"{}\": the profile \"{}\" of {} knows no continuous drive",
                                               step.name, planned_.profile.name, rig_.name),
                                   "`drive: single`, or a profile with its continuous intervals"));
      return;
    }
    const auto dimmest = dimmest_light(step, shooting);
    const auto sets = expose(step, shooting, dimmest, findings_);
    if (!sets) return;
    RigStep made;
    made.plan_step = plan_step;
    made.name = step.name;
    made.mark = step.mark;
    made.subject = shooting.subject;
    made.drive = shooting.drive;
    made.filtered = rig_.filter.has_value() && shooting.subject.kind == exposure::SubjectKind::photosphere;
    made.shapes = make_shapes(planned_.profile, shooting.drive, *sets);
    made.in_turn = made.shapes.size();
    made.lead = lead_of(planned_.profile, made.shapes);
    made.unfinished = shooting.unfinished;
    made.leave_free_frames = shooting.leave_free_frames.value_or(0);
    made.patience = shooting.patience.value_or(usual_patience);
    pace(step, shooting, made, dimmest);
  }

 private:
  [[nodiscard]] std::optional<ExposureSets> expose(const plan::Step& step, const plan::Shooting& shooting,
                                                   const LightLoss& light, Diagnostics& findings) const {
    Scene scene{light, longest_sharp(given_, rig_, shooting.subject), given_.plan.sky.counted};
    if (const auto* pace = std::get_if<plan::BackToBack>(&shooting.pace)) {
      const auto from = plan::resolve(pace->from, given_.sky);
      const auto until = plan::resolve(pace->until, given_.sky);
      if (from && until) scene.back_to_back = *until - *from;
    }
    return expose_step(rig_, planned_.profile, step, shooting, scene, findings);
  }

  /// Of the instants the step names, and mid-eclipse between them: no set of it is longer than then.
  [[nodiscard]] LightLoss dimmest_light(const plan::Step& step, const plan::Shooting& shooting) const {
    LightLoss dimmest;
    auto first = Utc::max();
    auto last = Utc::min();
    const auto look = [&](Utc at) {
      const auto light = light_at(given_, shooting.subject, at);
      if (light.lost >= dimmest.lost) dimmest = light;
    };
    for (const auto* instant : plan::instants_of(step)) {
      const auto at = plan::resolve(*instant, given_.sky);
      if (!at) continue;
      look(*at);
      first = std::min(first, *at);
      last = std::max(last, *at);
    }
    const auto& mid = given_.sky.at(contacts::ContactName::mid);
    if (mid && first < mid->utc && mid->utc < last) look(mid->utc);
    return dimmest;
  }

  void pace(const plan::Step& step, const plan::Shooting& shooting, const RigStep& made,
            const LightLoss& dimmest) const {
    auto parts = pace_step(given_, shooting, made);
    if (!parts) return cannot_pace(made.name, parts.error());
    for (std::size_t i = 0; i < parts->size(); ++i) {
      auto& part = (*parts)[i];
      if (parts->size() > 1) part.name = fmt::format("{} ({} of {})", made.name, i + 1, parts->size());
      follow_the_light(step, shooting, dimmest, part);
      planned_.steps.push_back(std::move(part));
    }
  }

  /// Each target gets the exposures of its own instant; a back-to-back step those of its middle.
  void follow_the_light(const plan::Step& step, const plan::Shooting& shooting, const LightLoss& dimmest,
                        RigStep& part) const {
    const auto longest = std::move(part.shapes);
    part.shapes.clear();
    std::map<Stops, std::size_t> turns;  // by the light lost, where its turn begins among the shapes
    const auto turn_at = [&](Utc at) {
      const auto light = light_at(given_, shooting.subject, at);
      const auto [turn, fresh] = turns.try_emplace(light.lost, part.shapes.size());
      if (!fresh) return turn->second;
      auto shapes = light.lost == dimmest.lost ? longest : shapes_in(step, shooting, light, longest);
      if (part.shapes.size() >= shapes.size() &&
          std::equal(shapes.rbegin(), shapes.rend(), part.shapes.rbegin()))
        return turn->second = part.shapes.size() - shapes.size();
      std::ranges::move(shapes, std::back_inserter(part.shapes));
      return turn->second;
    };
    for (auto& target : part.targets) target.shape += turn_at(target.due);
    if (part.targets.empty()) (void)turn_at(part.from + (part.until - part.from) / 2);
  }

  /// Warnings were given for the longest exposures; an error of the shorter ones leaves those.
  [[nodiscard]] std::vector<SetShape> shapes_in(const plan::Step& step, const plan::Shooting& shooting,
                                                const LightLoss& light,
                                                const std::vector<SetShape>& otherwise) const {
    Diagnostics found;
    const auto sets = expose(step, shooting, light, found);
    std::ranges::copy_if(found, std::back_inserter(findings_),
                         [](const Diagnostic& finding) { return finding.severity == Severity::error; });
    return sets ? make_shapes(planned_.profile, shooting.drive, *sets) : otherwise;
  }

  /// How long a span is depends on the sky: on the day a step without room in it is left out.
  void cannot_pace(const std::string& name, Diagnostics why) const {
    if (given_.strictness == Strictness::on_the_day) {
      for (auto& finding : why) finding.severity = Severity::warning;
      skipped_.push_back({name, rig_.name, why.front().message});
    }
    std::move(why.begin(), why.end(), std::back_inserter(findings_));
  }

  const Given& given_;
  const plan::Rig& rig_;
  RigTimeline& planned_;
  std::vector<Skipped>& skipped_;
  Diagnostics& findings_;
};

/// Whether the step is to be made; what the sky leaves no room for is noted.
bool wanted(const Given& given, const plan::Step& step, const plan::Rig& rig, Timeline& timeline) {
  const auto* shooting = std::get_if<plan::Shooting>(&step.what);
  if (shooting == nullptr || !is_for(step, rig.name)) return false;
  auto left_out = why_left_out(step, given.sky);
  if (!left_out) left_out = why_left_out(*shooting, rig, given.sky);
  if (left_out) timeline.skipped.push_back({step.name, rig.name, *left_out});
  return !left_out;
}

}  // namespace

bool is_for(const plan::Step& step, const std::string& rig) {
  return step.all_rigs || std::ranges::find(step.rigs, rig) != step.rigs.end();
}

const body::Profile& profile_by_hand() {
  static const body::Profile profile = [] {
    const auto shutters = exposure::third_stop_shutters();
    const auto apertures = exposure::third_stop_f_numbers();
    const auto isos = exposure::third_stop_isos();
    body::Profile hand;
    hand.name = "by hand";
    hand.choices = {
        {shutters.begin(), shutters.end()}, {apertures.begin(), apertures.end()}, {isos.begin(), isos.end()}};
    hand.setting_times = {2s, 2s, 2s, 2s};
    hand.single = {{0s, 1s}};
    hand.continuous = {{0s, 200ms}};
    return hand;
  }();
  return profile;
}

void make_rigs(const Given& given, const Profiles& profiles, Timeline& timeline, Diagnostics& findings) {
  for (const auto& rig : given.plan.rigs) {
    RigTimeline planned;
    planned.name = rig.name;
    planned.by_hand = std::holds_alternative<plan::ByHand>(rig.body);
    planned.person = rig.person;
    planned.files = rig.files;
    planned.has_filter = rig.filter.has_value();
    planned.sun_in_frame = rig.sun_in_frame;
    planned.filtered_light = filtered_light(given.plan, rig);
    const auto profile = find_profile(rig, profiles, findings);
    if (profile) planned.profile = *profile;
    for (std::size_t s = 0; s < given.plan.steps.size(); ++s) {
      if (wanted(given, given.plan.steps[s], rig, timeline) && profile) {
        RigMaker{given, rig, planned, timeline.skipped, findings}.add(
            s, std::get<plan::Shooting>(given.plan.steps[s].what));
      }
    }
    std::ranges::stable_sort(planned.steps,
                             [](const RigStep& a, const RigStep& b) { return a.from < b.from; });
    timeline.rigs.push_back(std::move(planned));
  }
}

}  // namespace noonfall::timeline
