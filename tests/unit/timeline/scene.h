// A round-numbered eclipse, two rigs, and the timeline of whatever steps a test adds.
#pragma once

#include <string>
#include <string_view>

#include "lib/timeline/build.h"

namespace noonfall::timeline::tests {

/// C1 08:00, C2 09:00, MID 09:02, C3 09:04, C4 10:10 UTC on 2027-08-02, each known to 2 s; the Sun 60° up.
[[nodiscard]] contacts::Circumstances sky(contacts::Kind kind = contacts::Kind::total);

/// The instant on that day: "09:00:00.5".
[[nodiscard]] Utc at(std::string_view clock);

/// Steps (and cues) for the two rigs every test has: `long`, 600 mm, tracking, with a filter, mirrorless-20,
/// f/8 ISO 200; and `wide`, 24 mm, no filter, mirror-24, f/8 ISO 400. A text that starts with "rigs:" brings
/// its own.
[[nodiscard]] std::string plan_text(std::string_view rest);

/// The plan must parse.
[[nodiscard]] plan::Plan parse_plan(const std::string& text);

/// The shipped ones; `on-telescope`, which can set no f-number and knows no continuous drive; `small`,
/// with room for two frames in the buffer, 33 on the card and 30 in the battery; `rolling`, whose electronic
/// shutter takes 250 ms from top to bottom; and `shaking`, whose shutter is mechanical.
[[nodiscard]] Profiles profiles_at_hand();

[[nodiscard]] Built built(std::string_view rest, const contacts::Circumstances& sky = tests::sky(),
                          Strictness strictness = Strictness::plan_check);

/// There must be no errors.
[[nodiscard]] Timeline timeline_of(std::string_view rest, const contacts::Circumstances& sky = tests::sky());

/// The codes of the errors, in order, separated by spaces; "none".
[[nodiscard]] std::string error_codes(const Built& built);
[[nodiscard]] std::string warning_codes(const Built& built);

}  // namespace noonfall::timeline::tests
