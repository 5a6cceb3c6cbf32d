// What a photograph's Exif says of it (CIPA DC-008), in raw files and JPEG.
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "lib/collate/photo.h"

namespace noonfall::pictures {

/// Whatever the file holds: what is no photograph, or damaged, has its trouble in words. Nothing is written.
[[nodiscard]] collate::Photo read_photo(const std::string& path);

/// The same of bytes in memory.
[[nodiscard]] collate::Photo read_photo_bytes(std::string_view bytes, const std::string& name);

/// In the order of `paths`, with so many threads; `progress` is called on this one, with how many are done.
[[nodiscard]] std::vector<collate::Photo> read_photos(const std::vector<std::string>& paths, unsigned threads,
                                                      const std::function<void(int)>& progress);

}  // namespace noonfall::pictures
