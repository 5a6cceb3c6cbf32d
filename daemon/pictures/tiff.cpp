#include "daemon/pictures/tiff.h"

#include <filesystem>
#include <memory>

#include <fmt/format.h>
#include <tiffio.h>

#include "daemon/posix/error_words.h"

namespace noonfall::pictures {
namespace {

Failure refuse(const std::string& path, const std::string& why) {
  return fail(error_at({}, "file", fmt::format("can't write {}: {}", path, why)));
}

template <class Sample>
Result<void> write(const std::string& path, std::span<const Sample> rgb, int width, int height, int format) {
  if (std::filesystem::exists(std::filesystem::symlink_status(path)))
    return refuse(path, "it exists already");
  TIFFSetErrorHandler(nullptr);
  const std::unique_ptr<TIFF, decltype(&TIFFClose)> file{TIFFOpen(path.c_str(), "w"), TIFFClose};
  if (!file) return refuse(path, posix::error_words());
  TIFFSetField(file.get(), TIFFTAG_IMAGEWIDTH, width);
  TIFFSetField(file.get(), TIFFTAG_IMAGELENGTH, height);
  TIFFSetField(file.get(), TIFFTAG_SAMPLESPERPIXEL, 3);
  TIFFSetField(file.get(), TIFFTAG_BITSPERSAMPLE, static_cast<int>(sizeof(Sample) * 8));
  TIFFSetField(file.get(), TIFFTAG_SAMPLEFORMAT, format);
  TIFFSetField(file.get(), TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG);
  TIFFSetField(file.get(), TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_RGB);
  TIFFSetField(file.get(), TIFFTAG_ROWSPERSTRIP, 64);
  TIFFSetField(file.get(), TIFFTAG_SOFTWARE, "noonfall");
  std::vector<Sample> row(static_cast<std::size_t>(width) * 3);
  for (int n = 0; n < height; ++n) {
    std::copy_n(rgb.begin() + static_cast<std::ptrdiff_t>(row.size()) * n, row.size(), row.begin());
    if (TIFFWriteScanline(file.get(), row.data(), static_cast<std::uint32_t>(n)) != 1)
      return refuse(path, posix::error_words());
  }
  if (TIFFFlush(file.get()) != 1) return refuse(path, posix::error_words());
  return {};
}

}  // namespace

Result<void> write_tiff(const std::string& path, std::span<const std::uint16_t> rgb, int width, int height) {
  return write(path, rgb, width, height, SAMPLEFORMAT_UINT);
}

Result<void> write_tiff(const std::string& path, std::span<const float> rgb, int width, int height) {
  return write(path, rgb, width, height, SAMPLEFORMAT_IEEEFP);
}

}  // namespace noonfall::pictures
