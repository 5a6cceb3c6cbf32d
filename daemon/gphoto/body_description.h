// A body's description out of what its driver offers by name, and what of it a person should know. Reads
// only.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/gphoto/session.h"
#include "lib/body/description.h"
#include "lib/body/profile.h"
#include "lib/time/utc.h"

namespace noonfall::gphoto {

/// What the driver has no name for stays untold. Every reading is one question to the body: some dozen.
[[nodiscard]] body::Description read_description(Session& session, const ListedBody& where, Utc now);

/// What it calls itself, by each of the numbers it may have; empty when it doesn't.
[[nodiscard]] std::vector<std::string> serials_of(Session& session);
/// Numbers are the same but for zeros before them.
[[nodiscard]] bool same_serial(std::string_view one, std::string_view other);

/// Where the mode dial stands.
struct ShownMode {
  std::string label;
  bool automatic = false;
};
[[nodiscard]] std::optional<ShownMode> shown_mode(Session& session);
inline const std::vector<std::string> mode_names{"autoexposuremode", "expprogram"};

/// Keeps a body from switching itself off, where the host can. Says so, or why it couldn't.
[[nodiscard]] std::optional<std::string> stay_awake(Session& session);
/// On all its cards together; none without one, and where what it tells can't be true: Fujifilm's stores are
/// its memory, said to be as large as a number can be.
[[nodiscard]] std::optional<std::uint64_t> free_kilobytes(const std::vector<Store>& stores);

/// In words: autofocus is on, the battery is low, the card nearly full, and by how much the
/// body's clock is off at `now`.
[[nodiscard]] std::vector<std::string> look_over(Session& session, const body::Profile& profile,
                                                 body::Files files, Utc now);
/// The battery's label, where it says less than so much.
[[nodiscard]] std::optional<std::string> low_battery(Session& session, int percent);

}  // namespace noonfall::gphoto
