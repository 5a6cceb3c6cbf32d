// The contacts a run was begun with, out of its log.
#pragma once

#include "lib/contacts/contact.h"
#include "lib/shotlog/line.h"

namespace noonfall::start {

/// `computed`, with kind, instants and uncertainties as `header` has them: a restart goes by them whatever
/// has become of tables, limb data and program since. A contact that isn't computed any more has the Sun's
/// place of MID.
[[nodiscard]] contacts::Circumstances as_logged(contacts::Circumstances computed,
                                                const shotlog::Header& header);

}  // namespace noonfall::start
