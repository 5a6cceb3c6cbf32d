// The bodies that the contract is held to without any hardware.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "tests/wire/contract.h"

namespace noonfall::tests {

/// The in-process simulated body, and bodies of each family through the real camera library.
[[nodiscard]] const std::vector<BodyKind>& body_kinds();
[[nodiscard]] const std::vector<BodyKind>& wired_kinds();

/// One at the end of a cable, with further options for noonfall-body. `searched` is the serial number looked
/// for; the body's own is 3012345 unless its options say otherwise.
[[nodiscard]] std::unique_ptr<ContractBody> wired_body(const std::string& family,
                                                       const std::vector<sim::Fault>& faults,
                                                       const std::string& line_faults = {},
                                                       body::Files files = body::Files::raw,
                                                       const std::string& searched = "3012345",
                                                       const std::vector<std::string>& more = {});

}  // namespace noonfall::tests
