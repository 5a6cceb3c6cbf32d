// The one way a function of ours fails: a value, or every diagnostic that explains why there is none.
#pragma once

#include <tl/expected.hpp>

#include "lib/base/diagnostic.h"

namespace noonfall {

/// A T, or the errors (one or more) that kept it from being made. Mark every function that returns one
/// [[nodiscard]].
template <class T>
using Result = tl::expected<T, Diagnostics>;

using Failure = tl::unexpected<Diagnostics>;

inline Failure fail(Diagnostics why) {
  return Failure{std::move(why)};
}
inline Failure fail(Diagnostic why) {
  return Failure{Diagnostics{std::move(why)}};
}

}  // namespace noonfall
