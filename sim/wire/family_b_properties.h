// The properties of a body of family B, all of them 32-bit codes or texts.
#pragma once

#include "sim/wire/dialect.h"

namespace noonfall::wire {

void add_family_b_properties(PropertySheet& sheet, TetheredCamera& camera, Panel& panel,
                             const Traits& traits);

}  // namespace noonfall::wire
