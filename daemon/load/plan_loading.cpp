#include "daemon/load/plan_loading.h"

#include <algorithm>
#include <limits>

#include <fmt/format.h>

#include "daemon/load/body_profiles.h"
#include "daemon/load/geoid.h"
#include "daemon/load/time_zone.h"
#include "daemon/posix/text_file.h"
#include "lib/contacts/circumstances.h"
#include "lib/contacts/elements.h"
#include "lib/contacts/on_path.h"
#include "lib/limb/beads.h"
#include "lib/plan/parse.h"
#include "lib/run/header.h"

namespace noonfall::load {
namespace {

/// The eclipse at the plan's site, or an error at the place of its date.
Result<limb::LimbContacts> circumstances_of(const plan::Plan& plan, const LeapSeconds& leap_seconds,
                                            const LimbData& limb, SkyBasis& basis) {
  const auto table = contacts::built_in_elements();
  const auto* elements = contacts::find_elements(table, plan.eclipse);
  if (elements == nullptr) {
    std::vector<std::string> near;
    for (const auto date : contacts::nearest_eclipses(table, plan.eclipse, 3)) near.push_back(to_text(date));
    return fail(error_at(plan.eclipse_mark, "unknown-eclipse",
                         fmt::format("no solar eclipse on {} (UTC)", to_text(plan.eclipse)),
                         fmt::format("{}", fmt::join(near, ", "))));
  }
  const auto& site = plan.site;
  const auto placed = place({site.latitude, site.longitude, site.elevation},
                            site.ellipsoidal ? HeightDatum::ellipsoid : HeightDatum::sea_level, Geoid{});
  auto settings = contacts::settings_for(leap_seconds, to_utc(elements->greatest(), leap_seconds), plan.dut1);
  use_limb(limb, settings);
  basis = {settings.limb, limb.path, settings.solar_radius};
  settings.geoid_error = placed.geoid_error;
  if (site.position_error) settings.position_error = *site.position_error;
  if (site.elevation_error) settings.height_error = *site.elevation_error;
  return contacts_with(limb, *elements, placed.site, settings);
}

bool wants_totality(const plan::Step& step) {
  using exposure::SubjectKind;
  const auto* shooting = std::get_if<plan::Shooting>(&step.what);
  return shooting != nullptr && shooting->subject.kind != SubjectKind::photosphere &&
         shooting->subject.kind != SubjectKind::landscape;
}

std::optional<Diagnostic> warn_outside_path(const plan::Plan& plan, const contacts::Circumstances& sky,
                                            const LeapSeconds& leap_seconds) {
  if (std::ranges::none_of(plan.steps, wants_totality)) return {};
  const auto* elements = contacts::find_elements(contacts::built_in_elements(), plan.eclipse);
  const auto settings =
      contacts::settings_for(leap_seconds, to_utc(elements->greatest(), leap_seconds), plan.dut1);
  const auto away = outside_path(*elements, sky, settings);
  if (!away) return {};
  return warning_at(plan.site.mark, "outside-path", away->how_far,
                    away->sign.empty()
                        ? "a site inside the path, if totality or the ring is what the plan is for"
                        : away->sign);
}

/// Local time only shows: what is wrong with it stops nothing, but for a name that is none when a plan is
/// checked.
void check_zone(const plan::SitePlace& site, timeline::Strictness strictness, Diagnostics& findings) {
  if (site.zone.empty()) return;
  const auto zone = find_zone(site.zone);
  if (zone) return;
  auto why = zone.error().front();
  why.mark = site.mark;
  const bool misspelt = why.code == "unknown-zone" && strictness == timeline::Strictness::plan_check;
  why.severity = misspelt ? Severity::error : Severity::warning;
  findings.push_back(std::move(why));
}

/// What follows the reading of the files; findings have no file yet.
Diagnostics resolve(const PlanSource& source, const LimbData& limb, LoadedPlan& loaded) {
  auto plan = plan::parse(loaded.text);
  if (!plan) return std::move(plan.error());
  loaded.plan = std::move(*plan);
  Diagnostics findings;
  check_zone(loaded.plan->site, source.strictness, findings);
  auto sky = circumstances_of(*loaded.plan, source.leap_seconds, limb, loaded.basis);
  if (!sky) {
    append(findings, std::move(sky.error()));
    return findings;
  }
  if (source.logged != nullptr) {
    sky->circumstances = run::as_logged(std::move(sky->circumstances), *source.logged);
  } else if (auto outside = warn_outside_path(*loaded.plan, sky->circumstances, source.leap_seconds)) {
    findings.push_back(std::move(*outside));
  }
  auto assumptions = source.assumptions;
  if (source.strictness == timeline::Strictness::plan_check) {
    constexpr std::size_t last = 5;
    assumptions.beads_before_c2 = limb::reach_of(limb::beads(*sky, contacts::ContactName::c2), last);
    assumptions.beads_after_c3 = limb::reach_of(limb::beads(*sky, contacts::ContactName::c3), last);
  }
  loaded.circumstances = std::move(sky->circumstances);
  auto built =
      timeline::build(*loaded.plan, *loaded.circumstances, loaded.profiles, assumptions, source.strictness);
  append(findings, std::move(built.findings));
  if (!has_errors(findings)) loaded.timeline = std::move(built.timeline);
  return findings;
}

}  // namespace

std::optional<OutsidePath> outside_path(const contacts::Elements& elements,
                                        const contacts::Circumstances& sky,
                                        const contacts::Settings& settings) {
  using contacts::Kind;
  if (sky.kind == Kind::total || sky.kind == Kind::annular) return {};
  auto turned = sky.site;
  turned.longitude.value = -turned.longitude.value;
  const auto there = contacts::circumstances(elements, turned, settings);
  const bool sign = there.kind == Kind::total || there.kind == Kind::annular;
  const auto path = sky.kind == Kind::partial ? contacts::on_path(elements, sky, settings) : std::nullopt;
  if (!path && !sign) return {};
  return OutsidePath{
      path ? fmt::format("the site lies {:.0f} km outside the path", path->limit.distance.value / 1000)
           : std::string{"the site lies far outside the path"},
      sign ? fmt::format("longitude: {:g}? With that sign the eclipse is {} there", turned.longitude.value,
                         contacts::to_text(there.kind))
           : std::string{}};
}

LoadedPlan load_plan(const PlanSource& source) {
  LoadedPlan loaded;
  auto text =
      source.text ? Result<std::string>{*source.text} : posix::read_text_file(source.path, most_plan_bytes);
  auto profiles = read_body_profiles(source.bodies);
  if (!text || !profiles.readable) {
    if (!text) append(loaded.findings, std::move(text.error()));
    append(loaded.findings, std::move(profiles.findings));
    loaded.exit = command_line::Exit::environment;
    return loaded;
  }
  auto limb = find_limb_data(source.limb);
  if (!limb) {
    loaded.findings = std::move(limb.error().why);
    loaded.exit = limb.error().exit;
    return loaded;
  }
  loaded.text = std::move(*text);
  loaded.profiles = std::move(profiles.profiles);
  auto findings = first_by_place(resolve(source, *limb, loaded), std::numeric_limits<std::size_t>::max());
  attach_source(findings, source.path, loaded.text);
  append(loaded.findings, std::move(findings));
  append(loaded.findings, std::move(profiles.findings));
  if (has_errors(loaded.findings)) loaded.timeline.reset();
  if (!loaded.timeline) loaded.exit = command_line::Exit::work_has_errors;
  return loaded;
}

}  // namespace noonfall::load
