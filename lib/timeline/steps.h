// The plan's shooting steps as rigs of rig steps, before anything is checked across them.
#pragma once

#include <map>
#include <string>

#include "lib/timeline/given.h"
#include "lib/timeline/timeline.h"

namespace noonfall::timeline {

using Profiles = std::map<std::string, body::Profile>;

/// What a person does with a camera in hand: two seconds a setting, a second a frame, third-stop scales
/// (common practice, no source).
[[nodiscard]] const body::Profile& profile_by_hand();

[[nodiscard]] bool is_for(const plan::Step& step, const std::string& rig);

/// One rig a rig of the plan, in its order. Steps the sky leaves no room for go to `skipped`; those that
/// can't be exposed or paced leave findings instead. Steps are by their first instant.
void make_rigs(const Given& given, const Profiles& profiles, Timeline& timeline, Diagnostics& findings);

/// The spans in which a person is at a rig: one for each rig of each hands-on step, those of one step
/// together. After make_rigs.
void make_hands_on_spans(const Given& given, Timeline& timeline, Diagnostics& findings);

}  // namespace noonfall::timeline
