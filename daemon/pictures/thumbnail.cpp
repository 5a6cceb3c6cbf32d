#include "daemon/pictures/thumbnail.h"

#include <cstdio>
#include <stdexcept>

#include <jpeglib.h>

namespace noonfall::pictures {
namespace {

constexpr JDIMENSION widest = 640;
constexpr JDIMENSION most_pixels = 4096;  // on a side

/// Its memory is the library's, given back whatever happens.
class Reader {
 public:
  explicit Reader(std::string_view jpeg) {
    info_.err = jpeg_std_error(&errors_);
    errors_.error_exit = [](j_common_ptr) { throw std::runtime_error{"no JPEG"}; };
    // Warnings are of damaged pictures: what is missing would be grey.
    errors_.emit_message = [](j_common_ptr, int level) {
      if (level < 0) throw std::runtime_error{"a damaged JPEG"};
    };
    jpeg_create_decompress(&info_);
    jpeg_mem_src(&info_, reinterpret_cast<const unsigned char*>(jpeg.data()),
                 static_cast<unsigned long>(jpeg.size()));
  }
  ~Reader() { jpeg_destroy_decompress(&info_); }
  Reader(const Reader&) = delete;
  Reader& operator=(const Reader&) = delete;

  look::Thumbnail read() {
    jpeg_read_header(&info_, TRUE);
    if (info_.image_width > most_pixels || info_.image_height > most_pixels)
      throw std::runtime_error{"no small picture"};
    info_.out_color_space = JCS_RGB;
    while (info_.image_width / info_.scale_denom > widest) info_.scale_denom *= 2;
    jpeg_start_decompress(&info_);
    look::Thumbnail out{static_cast<int>(info_.output_width), static_cast<int>(info_.output_height), {}};
    const auto row_size = std::size_t{info_.output_width} * 3;
    out.rgb.resize(row_size * info_.output_height);
    while (info_.output_scanline < info_.output_height) {
      auto* row = out.rgb.data() + info_.output_scanline * row_size;
      jpeg_read_scanlines(&info_, &row, 1);
    }
    jpeg_finish_decompress(&info_);
    return out;
  }

 private:
  jpeg_decompress_struct info_{};
  jpeg_error_mgr errors_{};
};

}  // namespace

std::optional<look::Thumbnail> read_thumbnail(std::string_view jpeg) {
  if (jpeg.empty()) return std::nullopt;
  try {
    return Reader{jpeg}.read();
  } catch (const std::runtime_error&) {
    return std::nullopt;
  }
}

}  // namespace noonfall::pictures
