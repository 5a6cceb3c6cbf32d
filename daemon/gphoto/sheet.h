// A body's sheet out of what its driver offers by name. Reads only.
#pragma once

#include "daemon/gphoto/session.h"
#include "lib/body/sheet.h"
#include "lib/time/utc.h"

namespace noonfall::gphoto {

/// What the driver has no name for stays untold. Every reading is one question to the body: some dozen.
[[nodiscard]] body::BodySheet read_sheet(Session& session, const Found& where, Utc now);

}  // namespace noonfall::gphoto
