// Drafts as a user has them: written, printed, read back, checked.
#pragma once

#include <string>

#include <doctest/doctest.h>

#include "lib/body/shipped.h"
#include "lib/contacts/circumstances.h"
#include "lib/contacts/elements.h"
#include "lib/draft/draft.h"
#include "lib/plan/parse.h"
#include "lib/plan/print.h"
#include "lib/timeline/build.h"

namespace noonfall::draft::tests {

inline Gear lens(double focal_mm, plan::Mount mount, const std::string& body = "mirrorless-20") {
  Gear gear;
  gear.body = *body::find_shipped(body);
  gear.focal_length = {focal_mm};
  gear.mount = mount;
  gear.sensor = plan::Sensor{{35.9}, {23.9}, {5.9}};
  return gear;
}

struct Checked {
  std::string text;
  timeline::Built built;
};

inline contacts::Circumstances sky_at(Date date, const contacts::Site& site) {
  return contacts::circumstances(*contacts::find_elements(contacts::built_in_elements(), date), site);
}

/// The draft must be there and parse.
inline Checked checked(const Request& request, const contacts::Circumstances& sky) {
  const auto drafted = draft(request, sky);
  REQUIRE(drafted);
  Checked result;
  result.text = plan::print(drafted->plan, drafted->comments);
  const auto parsed = plan::parse(result.text);
  if (!parsed) FAIL(result.text << to_text(parsed.error()));
  CHECK(*parsed == drafted->plan);
  timeline::Profiles profiles;
  for (const auto& shipped : body::shipped_profiles())
    profiles.emplace(shipped.name, *body::find_shipped(shipped.name));
  result.built = timeline::build(*parsed, sky, profiles);
  attach_source(result.built.findings, "draft.yaml", result.text);
  return result;
}

inline Request request_at(const contacts::Site& site, std::vector<Gear> rigs) {
  plan::SitePlace place{site.latitude, site.longitude, site.height, true, "", {}, {}, {}, {}};
  return {place, std::move(rigs)};
}

}  // namespace noonfall::draft::tests
