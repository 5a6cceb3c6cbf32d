// The parts of a plan out of YAML fields: what several share, then site, rig, step, exposure and bracket.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "lib/plan/plan.h"
#include "lib/plan/spoken_words.h"
#include "lib/yaml/field.h"

namespace noonfall::plan {

inline constexpr std::size_t longest_name = 64;
inline constexpr std::size_t longest_words = 200;

/// A name of a rig, step or profile: 1 to 64 printable characters, no quotes, no space at the ends.
[[nodiscard]] std::optional<std::string> read_name(const yaml::Field& field);
/// The same for a text that is a key.
void check_name(const std::string& name, Mark mark, Diagnostics& findings);
/// The name of a rig or step, which cues quote behind `before`: an error where no cue may say that.
void check_spoken_name(std::string_view before, const std::string& name, Mark mark, Diagnostics& findings);

[[nodiscard]] std::optional<Instant> read_instant(const yaml::Field& field);

struct SpanRange {
  Duration low;
  Duration high;  // both included
};
[[nodiscard]] std::optional<Duration> read_span(const yaml::Field& field, SpanRange range,
                                                const std::string& wanted);

/// Words for the voice, checked by one of the rules of spoken_words.h.
[[nodiscard]] std::optional<std::string> read_words(const yaml::Field& field, SpeechRule why_not,
                                                    const std::string& wanted);
/// Words of a cue that isn't the filter's.
[[nodiscard]] std::optional<std::string> read_cue_words(const yaml::Field& field);

/// `step "corona"` for an entry that has a name, else `a step`.
[[nodiscard]] std::string label_of(const yaml::Field& field, std::string_view kind);

/// "exposure: {shutter, aperture, iso}"; an absent field is an empty choice.
[[nodiscard]] ExposureChoice read_exposure(const yaml::Field& field);
/// The three keys out of a mapping that may hold others.
[[nodiscard]] ExposureChoice read_exposure_keys(yaml::MapReader& map);

/// "bracket: {…}" of one of the three shapes.
[[nodiscard]] std::optional<Bracket> read_bracket(const yaml::Field& field);
/// The same out of a mapping that may hold other keys; empty when none of a bracket's keys is there.
[[nodiscard]] std::optional<Bracket> read_bracket_keys(yaml::MapReader& map, const yaml::Field& whole);

/// "sets: […]": each entry the keys of an exposure, of a bracket, or of both.
[[nodiscard]] std::vector<SetChoice> read_sets(const yaml::Field& field);

/// An error where a bracket and a shutter choice both name the shutter times.
void refuse_shutter_twice(const ExposureChoice& exposure, const std::optional<Bracket>& bracket,
                          Diagnostics& findings);

/// `entry` is the rig's entry under `rigs`. Errors go to `findings`; what they concern keeps its default.
[[nodiscard]] Rig read_rig(const yaml::Entry& entry, Diagnostics& findings);

/// `filter: {…}` of a rig, not `none`.
[[nodiscard]] Filter read_filter(const yaml::Field& field);

[[nodiscard]] SitePlace read_site(const yaml::Field& field);
/// "earth: {dut1: -0.05 s}"
[[nodiscard]] std::optional<Duration> read_earth(const yaml::Field& field);

/// "sky: {extinction: 0.25}" or "sky: none"
[[nodiscard]] SkyChoice read_sky(const yaml::Field& field);

/// A step that shoots, asks for hands, or mirrors another, as its keys tell.
[[nodiscard]] Step read_step(const yaml::Field& field);

/// The keys at, from, until, every and spread of a shooting step: exactly one pace, else errors.
[[nodiscard]] std::optional<Pace> read_pace(yaml::MapReader& map, Diagnostics& findings);

/// Everything of a shooting step but its name, rigs and condition.
[[nodiscard]] Shooting read_shooting(yaml::MapReader& map, Diagnostics& findings);

}  // namespace noonfall::plan
