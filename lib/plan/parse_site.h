// Where and when: the site and the Earth's rotation.
#pragma once

#include "lib/plan/plan.h"
#include "lib/yaml/field.h"

namespace noonfall::plan {

[[nodiscard]] SitePlace read_site(const yaml::Field& field);
/// "earth: {dut1: -0.05 s}"
[[nodiscard]] std::optional<Duration> read_earth(const yaml::Field& field);

}  // namespace noonfall::plan
