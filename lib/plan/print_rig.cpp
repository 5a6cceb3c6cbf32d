#include <fmt/format.h>

#include "lib/plan/instant_text.h"
#include "lib/plan/print_parts.h"
#include "lib/time/duration_text.h"
#include "lib/yaml/quoted.h"

namespace noonfall::plan {
namespace {

using yaml::quoted_if_needed;

struct BodyPrinter {
  std::string operator()(const SimulatedBody& body) const {
    return fmt::format("{{simulate: {}}}", quoted_if_needed(body.profile));
  }
  std::string operator()(const CabledBody& body) const {
    const auto spare = body.spare.empty() ? "" : ", spare: " + quoted_if_needed(body.spare);
    return fmt::format("{{serial: {}, profile: {}{}}}", quoted_if_needed(body.serial),
                       quoted_if_needed(body.profile), spare);
  }
  std::string operator()(const ByHand&) const { return "by hand"; }
};

std::string to_yaml(const Sensor& sensor) {
  return fmt::format("{{width: {} mm, height: {} mm, pixel: {} um}}", decimal_text(sensor.width.value),
                     decimal_text(sensor.height.value), decimal_text(sensor.pixel.value));
}

std::string to_yaml(const std::optional<Filter>& filter) {
  if (!filter) return "none";
  Braces braces;
  braces.add("density", decimal_text(filter->density));
  braces.add("opens", to_text(filter->opens));
  braces.add("closes", to_text(filter->closes));
  braces.add("handling", noonfall::to_text(filter->handling));
  if (!filter->say_off.empty()) braces.add("say_off", quoted_if_needed(filter->say_off));
  if (!filter->say_on.empty()) braces.add("say_on", quoted_if_needed(filter->say_on));
  return braces.text();
}

}  // namespace

std::string print(const Rig& rig) {
  Lines lines;
  lines.add("body", std::visit(BodyPrinter{}, rig.body));
  lines.add("lens", fmt::format("{{focal_length: {} mm}}", decimal_text(rig.focal_length.value)));
  if (rig.sensor) lines.add("sensor", to_yaml(*rig.sensor));
  lines.add("mount", rig.mount == Mount::fixed ? "fixed" : "tracking");
  Braces exposure;
  add_exposure(exposure, rig.exposure);
  if (!exposure.empty()) lines.add("exposure", exposure.text());
  lines.add("files", body::to_text(rig.files));
  lines.add("filter", to_yaml(rig.filter));
  if (!rig.sun_in_frame) lines.add("sun_in_frame", "never");
  if (!rig.person.empty()) lines.add("person", quoted_if_needed(rig.person));
  return fmt::format("  {}:\n{}", quoted_if_needed(rig.name), lines.text());
}

}  // namespace noonfall::plan
