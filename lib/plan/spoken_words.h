// What a plan may have the voice say: nothing that sounds like leave to look, nothing that takes a filter
// off.
#pragma once

#include <string_view>

namespace noonfall::plan {

/// Why the cue that takes a filter off can't be reworded like this, as the rest of "\"…\" "; empty if it can.
[[nodiscard]] std::string_view why_not_a_filter_off_cue(std::string_view words);

/// The same for the cue that puts it back on.
[[nodiscard]] std::string_view why_not_a_filter_on_cue(std::string_view words);

/// The same for any other cue.
[[nodiscard]] std::string_view why_not_a_cue(std::string_view words);

}  // namespace noonfall::plan
