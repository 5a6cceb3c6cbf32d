// The values that several parts of a plan share, out of YAML fields.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "lib/plan/plan.h"
#include "lib/plan/spoken_words.h"
#include "lib/yaml/field.h"
#include "lib/yaml/map_reader.h"

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

}  // namespace noonfall::plan
