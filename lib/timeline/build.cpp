#include "lib/timeline/build.h"

#include <algorithm>
#include <limits>
#include <tuple>

#include <fmt/format.h>

#include "lib/plan/mirror.h"
#include "lib/timeline/cues.h"
#include "lib/timeline/filter_window.h"
#include "lib/timeline/rules.h"

namespace noonfall::timeline {
namespace {

/// A timeline on its way: what the rules object to becomes an error, or on the day is left out.
class Making {
 public:
  explicit Making(const Given& given) : given_{given} {
    timeline_.title = given.plan.title;
    timeline_.circumstances = given.sky;
    timeline_.zone = given.plan.site.zone;
    timeline_.horizon = given.plan.site.horizon.value_or(Degrees{0});
    timeline_.language = given.plan.voice.language;
  }

  Built make(const Profiles& profiles) {
    make_rigs(given_, profiles, timeline_, findings_);
    make_hands_on_spans(given_, timeline_, findings_);
    say_what_the_sky_takes();
    settle(place_filter_windows(given_, timeline_, findings_));
    settle(fit_to_windows(given_, timeline_));
    settle(check_bare_lenses(given_, timeline_, findings_));
    if (on_the_day()) trim_overlaps(given_, timeline_, findings_);
    settle(check_overlaps(given_, timeline_, findings_));
    settle(check_release_room(given_, timeline_));
    settle(fill_buffers(given_, timeline_, findings_));
    weigh_corona(given_, timeline_);
    frame_the_sun(given_, timeline_);
    close_unused_windows(timeline_);
    check_totals(given_, timeline_, findings_);
    check_something_left();
    advise(given_, timeline_, findings_);
    if (!on_the_day()) {
      doubt(given_, timeline_, findings_);
      doubt_framing(given_, timeline_, findings_);
    }
    make_cues(given_, timeline_, findings_);
    return finish();
  }

 private:
  [[nodiscard]] bool on_the_day() const { return given_.strictness == Strictness::on_the_day; }

  void leave_out(std::size_t rig_index, std::size_t step_index, Diagnostic why) {
    auto& rig = timeline_.rigs[rig_index];
    const auto step = rig.steps.begin() + static_cast<std::ptrdiff_t>(step_index);
    timeline_.skipped.push_back({step->name, rig.name, why.message});
    rig.steps.erase(step);
    why.severity = Severity::warning;
    findings_.push_back(std::move(why));
  }

  void settle(Objections objections) {
    std::ranges::stable_sort(objections, [](const Objection& a, const Objection& b) {
      return std::tie(a.rig, a.step) > std::tie(b.rig, b.step);
    });
    auto last = std::make_pair(std::size_t{0}, std::numeric_limits<std::size_t>::max());
    for (auto& objection : objections) {
      if (!on_the_day()) {
        findings_.push_back(std::move(objection.why));
        continue;
      }
      const auto place = std::make_pair(objection.rig, objection.step);
      if (place != last) leave_out(objection.rig, objection.step, std::move(objection.why));
      last = place;
    }
  }

  /// Without a window the filter stays on, and on the day what needs it off is left out.
  void settle(std::vector<WindowRefusal> refusals) {
    for (auto& refusal : refusals) {
      if (!on_the_day()) {
        findings_.push_back(std::move(refusal.why));
        continue;
      }
      const auto& steps = timeline_.rigs[refusal.rig].steps;
      for (auto s = steps.size(); s-- > 0;)
        if (!steps[s].filtered) leave_out(refusal.rig, s, refusal.why);
    }
  }

  void say_what_the_sky_takes() {
    if (given_.sky.kind == contacts::Kind::total || timeline_.skipped.empty()) return;
    findings_.push_back(warning_at(
        given_.plan.site.mark, "no-totality",
        fmt::format("the site sees no totality (eclipse: {}): what needs it is left out, {} in all",
                    contacts::to_text(given_.sky.kind), timeline_.skipped.size())));
  }

  void check_something_left() {
    const bool left =
        std::ranges::any_of(timeline_.rigs, [](const RigTimeline& rig) { return !rig.steps.empty(); });
    if (left || has_errors(findings_)) return;
    auto nothing = error_at(given_.plan.eclipse_mark, "nothing-to-shoot",
                            fmt::format("no step of the plan can be taken at this site (eclipse: {})",
                                        contacts::to_text(given_.sky.kind)),
                            "another site or date");
    if (on_the_day()) nothing.severity = Severity::warning;
    findings_.push_back(std::move(nothing));
  }

  Built finish() {
    Built built;
    built.findings = first_by_place(std::move(findings_), std::numeric_limits<std::size_t>::max());
    built.findings.erase(std::unique(built.findings.begin(), built.findings.end()), built.findings.end());
    if (!has_errors(built.findings)) built.timeline = std::move(timeline_);
    return built;
  }

  Given given_;
  Timeline timeline_;
  Diagnostics findings_;
};

}  // namespace

Built build(const plan::Plan& plan, const contacts::Circumstances& sky, const Profiles& profiles,
            const Assumptions& assumptions, Strictness strictness) {
  auto steps = plan::with_mirrors_resolved(plan);
  if (!steps) return {.timeline = {}, .findings = std::move(steps.error())};
  auto resolved = plan;
  resolved.steps = std::move(*steps);
  return Making{{resolved, sky, assumptions, strictness}}.make(profiles);
}

}  // namespace noonfall::timeline
