#include "tests/unit/timeline/scene.h"

#include <doctest/doctest.h>

#include "lib/body/shipped.h"
#include "lib/plan/parse.h"
#include "lib/time/utc_text.h"

namespace noonfall::timeline::tests {
namespace {

using namespace std::chrono_literals;
using contacts::ContactName;

constexpr std::string_view header = R"(noonfall: 1
eclipse: 2027-08-02
site: {latitude: 36, longitude: -5.6, elevation: 12 m}
)";

constexpr std::string_view two_rigs = R"(rigs:
  long:
    body: {simulate: mirrorless-20}
    lens: {focal_length: 600 mm}
    sensor: {width: 35.9 mm, height: 23.9 mm, pixel: 5.9 um}
    mount: tracking
    exposure: {aperture: f/8, iso: 200}
    filter: {density: 5.0}
  wide:
    body: {simulate: mirror-24}
    lens: {focal_length: 24 mm}
    exposure: {aperture: f/8, iso: 400}
    filter: none
)";

std::string codes(const Diagnostics& findings, Severity severity) {
  std::string all;
  for (const auto& finding : findings)
    if (finding.severity == severity) all += (all.empty() ? "" : " ") + finding.code;
  return all.empty() ? "none" : all;
}

}  // namespace

contacts::Circumstances sky(contacts::Kind kind) {
  contacts::Circumstances sky;
  sky.eclipse = Date{std::chrono::year{2027}, std::chrono::month{8}, std::chrono::day{2}};
  sky.site = {Degrees{36}, Degrees{-5.6}, Metres{12}};
  sky.kind = kind;
  sky.magnitude = 1.05;
  const auto put = [&sky](ContactName name, std::string_view clock) {
    contacts::Contact contact;
    contact.utc = at(clock);
    contact.altitude = contact.apparent_altitude = Degrees{60};
    contact.azimuth = Degrees{120};
    contact.uncertainty = 2s;
    sky.contacts[static_cast<std::size_t>(name)] = contact;
  };
  if (kind == contacts::Kind::none) return sky;
  put(ContactName::c1, "08:00:00");
  put(ContactName::mid, "09:02:00");
  put(ContactName::c4, "10:10:00");
  if (kind == contacts::Kind::partial) return sky;
  put(ContactName::c2, "09:00:00");
  put(ContactName::c3, "09:04:00");
  return sky;
}

Utc at(std::string_view clock) {
  const auto instant = parse_utc("2027-08-02T" + std::string{clock} + "Z");
  REQUIRE(instant);
  return *instant;
}

std::string plan_text(std::string_view rest) {
  std::string text{header};
  if (!rest.starts_with("rigs:")) text += two_rigs;
  return text + std::string{rest};
}

plan::Plan parse_plan(const std::string& text) {
  auto plan = plan::parse(text);
  if (!plan) FAIL(to_text(plan.error()));
  return *plan;
}

Profiles profiles_at_hand() {
  Profiles profiles;
  for (const auto& profile : body::shipped_profiles())
    profiles.emplace(profile.name, *body::find_shipped(profile.name));
  auto& telescope = profiles["on-telescope"] = profiles.at("mirrorless-20");
  telescope.name = "on-telescope";
  telescope.choices.apertures.clear();
  telescope.continuous.clear();
  auto& small = profiles["small"] = profiles.at("mirror-24");  // raw files of 28 MB
  small.name = "small";
  small.buffer = {60};
  small.write_rate = {1};
  small.card = {1000};
  small.battery_frames = 30;
  auto& rolling = profiles["rolling"] = profiles.at("mirrorless-20");
  rolling.name = "rolling";
  rolling.rolling_readout = 250ms;
  auto& shaking = profiles["shaking"] = profiles.at("mirror-24");
  shaking.name = "shaking";
  shaking.shutter_types = {body::ShutterType::mechanical};
  return profiles;
}

Built built(std::string_view rest, const contacts::Circumstances& sky, Strictness strictness) {
  const auto text = plan_text(rest);
  auto made = build(parse_plan(text), sky, profiles_at_hand(), {}, strictness);
  attach_source(made.findings, "plan.yaml", text);
  return made;
}

Timeline timeline_of(std::string_view rest, const contacts::Circumstances& sky) {
  auto made = built(rest, sky);
  if (!made.timeline) FAIL(to_text(made.findings));
  return *made.timeline;
}

std::string error_codes(const Built& built) {
  return codes(built.findings, Severity::error);
}

std::string warning_codes(const Built& built) {
  return codes(built.findings, Severity::warning);
}

}  // namespace noonfall::timeline::tests
