// What a plan may have the voice say: nothing that sounds like leave to look, nothing that takes a filter
// off. The rules know English, and go by letters alone (heard_words.h): neither signs nor spaces nor what the
// letters are written with changes what they find.
#pragma once

#include <string_view>

namespace noonfall::plan {

/// One of these rules.
using SpeechRule = std::string_view (*)(std::string_view);

/// Why the cue that takes a filter off can't be reworded like this, as the rest of "\"…\" "; empty if it can.
[[nodiscard]] std::string_view why_not_a_filter_off_cue(std::string_view words);

/// The same for the cue that puts it back on.
[[nodiscard]] std::string_view why_not_a_filter_on_cue(std::string_view words);

/// The same for any other cue, and for names of rigs and steps, which cues quote.
[[nodiscard]] std::string_view why_not_a_cue(std::string_view words);

}  // namespace noonfall::plan
