#include "daemon/pictures/small_jpeg.h"

#include "daemon/pictures/jpeg.h"
#include "daemon/posix/text_file.h"

namespace noonfall::pictures {
namespace {

constexpr std::size_t most_bytes = 1U << 20U;

}  // namespace

std::shared_ptr<const sim::Sketcher> sketcher_of(const std::string& path) {
  if (path.empty()) return nullptr;
  const auto text = posix::read_text_file(path, most_bytes);
  const auto day = text ? sim::parse_day(*text) : fail(text.error());
  return day ? std::make_shared<const sim::Sketcher>(*day) : nullptr;
}

std::string small_jpeg(const sim::Sketcher& sketcher, Utc opened, Utc closed,
                       const exposure::Exposure& exposure) {
  const auto picture = sketcher.picture(opened, closed, exposure);
  return to_jpeg(picture.rgb, picture.width, picture.height);
}

}  // namespace noonfall::pictures
