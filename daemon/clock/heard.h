// What a source of time said: a value, or in words why it can't be used.
#pragma once

#include <string>

#include <tl/expected.hpp>

namespace noonfall::clock {

/// The words are a clause that names the source: "chronyd does not answer".
template <class T>
using Heard = tl::expected<T, std::string>;

using NotHeard = tl::unexpected<std::string>;

}  // namespace noonfall::clock
