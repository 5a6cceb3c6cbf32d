// The photographs of a card or folder, and what is put beside or in order of them: never into or over one.
#pragma once

#include <string>
#include <vector>

#include "lib/base/result.h"

namespace noonfall::pictures {

/// The files named, and all files in folders named and in theirs, each once; hidden ones and XMP sidecars
/// aren't photographs. Errors: a name that stands for nothing, a folder that can't be read.
[[nodiscard]] Result<std::vector<std::string>> photo_files(const std::vector<std::string>& names);

/// A symbolic link at `tree`/`place` to `file`, its folders made. False if something has that name already.
[[nodiscard]] Result<bool> link_photo(const std::string& file, const std::string& tree,
                                      const std::string& place);

}  // namespace noonfall::pictures
