// Plans: what is read is printed and read back to the same value; and resolved under its real sky, whatever
// the plan says, no timeline opens a shutter unfiltered outside the filter window or two steps of a rig at
// once.
#include <string>

#include "lib/body/profile_text.h"
#include "lib/body/shipped.h"
#include "lib/contacts/circumstances.h"
#include "lib/contacts/elements.h"
#include "lib/plan/parse.h"
#include "lib/plan/print.h"
#include "lib/timeline/build.h"
#include "tests/fuzz/property.h"

using namespace noonfall;

namespace {

const timeline::Profiles& profiles() {
  static const auto all = [] {
    timeline::Profiles read;
    for (const auto& shipped : body::shipped_profiles()) {
      read.emplace(shipped.name, *body::parse_profile(shipped.yaml, shipped.name));
    }
    return read;
  }();
  return all;
}

void check_rig(const timeline::RigTimeline& rig) {
  Utc free = Utc::min();
  for (const auto& step : rig.steps) {
    fuzz::require(step.from <= step.until, "a step doesn't end before it begins: " + step.name);
    fuzz::require(step.first_opening() >= free, "steps of a rig don't overlap: " + step.name);
    free = step.last_closing();
    if (step.filtered || !rig.has_filter) continue;
    fuzz::require(rig.window.has_value(), "no unfiltered frame without a filter window: " + step.name);
    fuzz::require(step.first_opening() >= rig.window->usable_from && free <= rig.window->usable_until,
                  "unfiltered frames lie within the filter window: " + step.name);
  }
}

void check_window(const timeline::RigTimeline& rig, const contacts::Circumstances& sky) {
  if (!rig.window) return;
  fuzz::require(sky.kind == contacts::Kind::total, "a filter window only under totality");
  const auto& c2 = *sky.at(contacts::ContactName::c2);
  const auto& c3 = *sky.at(contacts::ContactName::c3);
  constexpr std::chrono::seconds most{60};
  fuzz::require(rig.window->opens >= c2.utc + c2.uncertainty - most,
                "a filter window opens at most 60 s early");
  fuzz::require(rig.window->closes <= c3.utc - c3.uncertainty + most,
                "a filter window closes at most 60 s late");
}

void check_timeline(const plan::Plan& plan, timeline::Strictness strictness, std::string_view text) {
  const auto* elements = contacts::find_elements(contacts::built_in_elements(), plan.eclipse);
  if (elements == nullptr) return;
  const auto sky =
      contacts::circumstances(*elements, {plan.site.latitude, plan.site.longitude, plan.site.elevation});
  const auto built = timeline::build(plan, sky, profiles(), {}, strictness);
  if (!built.timeline) {
    fuzz::require_explained(built.findings, text);
    return;
  }
  for (const auto& rig : built.timeline->rigs) {
    check_rig(rig);
    check_window(rig, sky);
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto text = fuzz::text_of(data, size);
  const auto plan = plan::parse(text);
  if (!plan) {
    fuzz::require_explained(plan.error(), text);
    return 0;
  }
  const auto printed = plan::print(*plan);
  const auto again = plan::parse(printed);
  fuzz::require(again.has_value() && *again == *plan, "a plan is read back as printed:\n" + printed);
  check_timeline(*plan, timeline::Strictness::plan_check, text);
  check_timeline(*plan, timeline::Strictness::on_the_day, text);
  return 0;
}
