#include "daemon/pictures/small_jpeg.h"

#include <memory>

#include "daemon/pictures/jpeg.h"
#include "daemon/posix/text_file.h"

namespace noonfall::pictures {
namespace {

constexpr std::size_t most_bytes = 1U << 20U;

}  // namespace

std::string small_jpeg(const sim::Sketcher& sketcher, Utc opened, Utc closed,
                       const exposure::Exposure& exposure) {
  const auto picture = sketcher.picture(opened, closed, exposure);
  return to_jpeg(picture.rgb, picture.width, picture.height);
}

std::function<std::string(const sim::RecordedFrame&)> drawn_by(const std::string& path) {
  if (path.empty()) return {};
  const auto text = posix::read_text_file(path, most_bytes);
  const auto day = text ? sim::parse_day(*text) : fail(text.error());
  if (!day) return {};
  return [sketcher = std::make_shared<const sim::Sketcher>(*day)](const sim::RecordedFrame& frame) {
    return small_jpeg(*sketcher, frame.opened, frame.closed, frame.exposure);
  };
}

}  // namespace noonfall::pictures
