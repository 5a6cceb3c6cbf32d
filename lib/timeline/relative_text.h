// An instant in the words of a plan: "C2 - 22 s".
#pragma once

#include <string>

#include "lib/contacts/contact.h"
#include "lib/time/utc.h"

namespace noonfall::timeline {

/// To a tenth of a second; the direction says which side of the true instant the words may fall on.
enum class Rounding { nearest, earlier, later };

/// Told from the nearest contact that happens; without contacts, ISO 8601.
[[nodiscard]] std::string relative_text(Utc instant, const contacts::Circumstances& sky,
                                        Rounding rounding = Rounding::nearest);

/// "3.4 s", "1 min 30 s": to a tenth of a second from a second up, to a millisecond below.
[[nodiscard]] std::string rounded_text(Duration span);

}  // namespace noonfall::timeline
