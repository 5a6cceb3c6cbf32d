// Everything daemon and worker can say to each other, by chance.
#pragma once

#include "daemon/worker/words.h"

namespace noonfall::worker {

/// Draw from RapidCheck; only inside a property.
[[nodiscard]] order::Order any_order(int most_frames);
[[nodiscard]] ToWorker any_to_worker();
[[nodiscard]] FromWorker any_from_worker();

}  // namespace noonfall::worker
