// The part of the contract that any body can be held to, a real one too: it has no faults on order.
#pragma once

#include "tests/wire/contract.h"

namespace noonfall::tests {

/// Every call as the first one of a body.
void check_fresh_body(const BodyKind& kind);
/// Every call right behind a release.
void check_busy_body(const BodyKind& kind);

}  // namespace noonfall::tests
