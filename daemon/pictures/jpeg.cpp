#include "daemon/pictures/jpeg.h"

#include <array>
#include <cstdio>
#include <cstdlib>
#include <stdexcept>

#include <jpeglib.h>

namespace noonfall::pictures {
namespace {

constexpr int quality = 92;

/// Its memory is the library's, given back whatever happens.
class Compressor {
 public:
  Compressor() {
    info.err = jpeg_std_error(&errors_);
    errors_.error_exit = [](j_common_ptr common) {
      std::array<char, JMSG_LENGTH_MAX> words{};
      common->err->format_message(common, words.data());
      throw std::runtime_error{words.data()};
    };
    jpeg_create_compress(&info);
    jpeg_mem_dest(&info, &bytes_, &size_);
  }
  ~Compressor() {
    jpeg_destroy_compress(&info);
    std::free(bytes_);  // NOLINT: jpeg_mem_dest's contract
  }
  Compressor(const Compressor&) = delete;
  Compressor& operator=(const Compressor&) = delete;
  [[nodiscard]] std::string take() const { return {reinterpret_cast<const char*>(bytes_), size_}; }

  jpeg_compress_struct info{};

 private:
  jpeg_error_mgr errors_{};
  unsigned char* bytes_ = nullptr;
  unsigned long size_ = 0;
};

}  // namespace

std::string to_jpeg(std::span<const std::uint8_t> rgb, int width, int height) {
  Compressor compressor;
  auto& info = compressor.info;
  info.image_width = static_cast<JDIMENSION>(width);
  info.image_height = static_cast<JDIMENSION>(height);
  info.input_components = 3;
  info.in_color_space = JCS_RGB;
  jpeg_set_defaults(&info);
  jpeg_set_quality(&info, quality, TRUE);
  jpeg_start_compress(&info, TRUE);
  const auto row_size = static_cast<std::size_t>(width) * 3;
  while (info.next_scanline < info.image_height) {
    // The library only reads the row, and says so nowhere.
    auto* row = const_cast<JSAMPLE*>(rgb.data() + info.next_scanline * row_size);
    jpeg_write_scanlines(&info, &row, 1);
  }
  jpeg_finish_compress(&info);
  return compressor.take();
}

}  // namespace noonfall::pictures
