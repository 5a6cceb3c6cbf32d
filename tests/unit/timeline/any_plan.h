// What the property tests are given: skies, plans and bodies of every kind, nonsense included.
#pragma once

#include "tests/unit/timeline/scene.h"

namespace noonfall::timeline::tests {

/// Contacts mostly in a sensible order, sometimes anywhere; uncertain by seconds or by minutes.
[[nodiscard]] contacts::Circumstances any_sky();

/// One to three rigs, one to six steps round the contacts; mirrors unresolved. Few can be shot as written.
[[nodiscard]] plan::Plan any_plan();

/// The ones at hand, and `odd`, which is slow, uncertain and short of buffer.
[[nodiscard]] Profiles any_bodies();

}  // namespace noonfall::timeline::tests
