// The names a simulated body gives its files, by the Design rule for Camera File system.
#pragma once

#include <string>
#include <vector>

#include "lib/body/profile.h"

namespace noonfall::sim {

/// The files of the body's n-th frame, n from 0: "DCIM/100NOONF/NOON0001.RAW" and, for raw and jpeg, the same
/// with "JPG". Numbers run 0001 to 9999, folders 100 to 999 and then from 100 again (DCF 2.0, CIPA DC-009).
[[nodiscard]] std::vector<std::string> file_names(int n, body::Files files);

}  // namespace noonfall::sim
