// The rules of the layout (DEVELOPERS.md): each says of one file what breaks it, as "path:line: what".
#pragma once

#include <string>
#include <vector>

#include "tests/layers/source_text.h"

namespace noonfall::layers {

using Findings = std::vector<std::string>;

/// lib/ folders include only folders to their left, lib <- sim <- daemon, and project includes are written
/// from the top.
[[nodiscard]] Findings include_order(const File& file);

/// A library that touches the world, or that we keep behind one door, is included only where it belongs.
[[nodiscard]] Findings third_party_places(const File& file);

/// lib/ and sim/ decide, they don't act: no clock is read, no thread, lock, file, environment, console or
/// sleep. sim/wire is exempt: it is a driver for a foreign library.
[[nodiscard]] Findings purity(const File& file);

/// A header opens with a sentence saying what it is for, then `#pragma once`.
[[nodiscard]] Findings header_opening(const File& file);

/// No marks of unfinished work.
[[nodiscard]] Findings unfinished_marks(const File& file);

/// No test's name has a semicolon: CMake takes it for the end of the name, and the test never runs.
[[nodiscard]] Findings test_names(const File& file);

/// At most 300 lines.
[[nodiscard]] Findings length(const File& file);

/// The entries of the top folder that the layout doesn't name.
[[nodiscard]] Findings top_level(const std::vector<std::string>& entries);

}  // namespace noonfall::layers
