// What a body has to be set to before its first frame, and what about it a person should know.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "daemon/gphoto/session.h"
#include "lib/body/profile.h"
#include "lib/time/utc.h"

namespace noonfall::gphoto {

/// Pictures go to the card: left in the body's memory they are lost. Says why they wouldn't; nothing when all
/// is well. Bodies that know only a card need nothing. First of all settings, as the driver would choose the
/// memory with the first other one; and again after every reopening.
[[nodiscard]] std::optional<std::string> point_to_card(Session& session);

/// What a frame leaves is set to what the plan counts on. Says why it couldn't be.
[[nodiscard]] std::optional<std::string> leave_files(Session& session, body::Files files);

/// In words: the dial isn't at M, autofocus is on, the battery is low, the card nearly full, and by how much
/// the body's clock is off at `now`. Reads only.
[[nodiscard]] std::vector<std::string> look_over(Session& session, const body::Profile& profile,
                                                 body::Files files, Utc now);

/// Of "80%", "Low" and their like; none when it says something else.
[[nodiscard]] std::optional<int> percent_of(const std::string& label);

}  // namespace noonfall::gphoto
