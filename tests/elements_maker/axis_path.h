// What an eclipse is along the path of its shadow's axis over the Earth: partial, annular, total or hybrid.
#pragma once

#include "lib/contacts/elements.h"

namespace noonfall::elements_maker {

/// Whether the axis meets the spheroid at all.
[[nodiscard]] bool is_central(const contacts::Elements& elements);

/// The type, from everything in `elements` but their type: hybrid where the umbra's tip is above the ground
/// on one part of the path and below it on another; not central but total or annular where the umbra touches
/// the Earth and its axis doesn't.
[[nodiscard]] contacts::EclipseType type_of(const contacts::Elements& elements);

}  // namespace noonfall::elements_maker
