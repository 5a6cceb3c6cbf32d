#include "daemon/pictures/read_photo.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <numeric>

#include <fmt/format.h>
#include <exiv2/exiv2.hpp>

#include "daemon/pictures/each_of.h"
#include "daemon/pictures/exiv.h"
#include "daemon/posix/file_calls.h"
#include "lib/base/number.h"
#include "lib/exposure/scale.h"
#include "lib/time/utc_text.h"

namespace noonfall::pictures {
namespace {

using collate::Photo;
using Exiv2::ExifData;

/// The text of the first of these that is there, without the space around it.
std::string text_of(const ExifData& exif, std::initializer_list<const char*> keys) {
  for (const auto* key : keys) {
    const auto found = exif.findKey(Exiv2::ExifKey{key});
    if (found == exif.end() || found->count() == 0) continue;
    auto text = found->toString();
    text.resize(std::min(text.find('\0'), text.size()));
    if (const auto trimmed = trim(text); !trimmed.empty()) return std::string{trimmed};
  }
  return {};
}

/// Digits of a fraction as they stand, at most six; anything else is none.
std::string subsec_of(const ExifData& exif) {
  const auto text = text_of(exif, {"Exif.Photo.SubSecTimeOriginal", "Exif.Photo.SubSecTimeDigitized"});
  const auto digits = text.substr(0, std::min(text.find_first_not_of("0123456789"), std::size_t{6}));
  return digits;
}

/// "+02:00": ahead of UTC; none if it isn't of that form.
std::optional<Duration> zone_of(const ExifData& exif) {
  using namespace std::chrono;
  const auto text = text_of(exif, {"Exif.Photo.OffsetTimeOriginal", "Exif.Photo.OffsetTime"});
  const auto digit = [&](std::size_t n) { return text[n] >= '0' && text[n] <= '9' ? text[n] - '0' : 99; };
  if (text.size() != 6 || text[3] != ':' || (text[0] != '+' && text[0] != '-')) return std::nullopt;
  const auto hour_count = 10 * digit(1) + digit(2);
  const auto minute_count = 10 * digit(4) + digit(5);
  if (hour_count > 14 || minute_count > 59) return std::nullopt;  // no zone is further from UTC
  const Duration ahead = hours{hour_count} + minutes{minute_count};
  return text[0] == '-' ? -ahead : ahead;
}

void read_clock(const ExifData& exif, Photo& photo) {
  auto text = text_of(
      exif, {"Exif.Photo.DateTimeOriginal", "Exif.Image.DateTimeOriginal", "Exif.Photo.DateTimeDigitized"});
  if (text.size() != std::string_view{"2027:08:02 08:47:28"}.size()) return;
  text[4] = text[7] = '-';
  const auto subsec = subsec_of(exif);
  photo.clock = parse_utc(text + (subsec.empty() ? "" : "." + subsec) + "Z");
  if (!photo.clock) return;
  photo.clock = *photo.clock - zone_of(exif).value_or(Duration{0});
  photo.grain = Duration{1'000'000};
  for (std::size_t n = 0; n < subsec.size(); ++n) photo.grain /= 10;
}

/// Above zero; none if it isn't there.
std::optional<Exiv2::Rational> ratio_of(ExifData::const_iterator value, const ExifData& exif) {
  if (value == exif.end() || value->count() == 0) return std::nullopt;
  const auto ratio = value->toRational();
  if (ratio.first <= 0 || ratio.second <= 0) return std::nullopt;
  return ratio;
}

/// By its name, which some bodies write as 10/16000 and others as 0.000624; else as it is.
std::optional<exposure::Shutter> shutter_of(const Exiv2::Rational& ratio) {
  constexpr double spelling = 0.01;
  const double seconds = static_cast<double>(ratio.first) / ratio.second;
  for (const auto& name : exposure::third_stop_shutters())
    if (std::abs(exposure::nominal_seconds(name) / seconds - 1) < spelling) return name;
  const auto common = std::gcd(ratio.first, ratio.second);
  const auto as_written =
      exposure::parse_shutter(fmt::format("{}/{}", ratio.first / common, ratio.second / common));
  if (as_written && exposure::parse_shutter(to_text(*as_written))) return as_written;
  return exposure::parse_shutter(fmt::format("{:.4f} s", seconds));  // a bulb's, measured
}

void read_settings(const ExifData& exif, Photo& photo) {
  if (const auto ratio = ratio_of(Exiv2::exposureTime(exif), exif)) photo.shutter = shutter_of(*ratio);
  if (const auto ratio = ratio_of(Exiv2::fNumber(exif), exif)) {
    const auto tenths = 10.0 * ratio->first / ratio->second;
    if (tenths >= 7 && tenths <= 1280)
      photo.aperture = exposure::FNumber{static_cast<std::int32_t>(std::lround(tenths))};
  }
  constexpr int beyond_short = 65'535;  // DC-008: a higher one stands in a tag of its own
  auto iso = ratio_of(Exiv2::isoSpeed(exif), exif);
  if (!iso || iso->first == beyond_short)
    iso = ratio_of(exif.findKey(Exiv2::ExifKey{"Exif.Photo.RecommendedExposureIndex"}), exif);
  if (!iso) return;
  const auto value = iso->first / iso->second;
  if (value >= 6 && value <= 409'600) photo.iso = exposure::Iso{value};
}

void read_camera(const ExifData& exif, Photo& photo) {
  auto serial = text_of(exif, {"Exif.Photo.BodySerialNumber", "Exif.Image.CameraSerialNumber"});
  if (serial.empty()) {
    const auto by_maker = Exiv2::serialNumber(exif);
    if (by_maker != exif.end() && by_maker->count() > 0) serial = by_maker->toString();
  }
  photo.serial = std::string{trim(serial)};
  photo.camera = std::string{trim(text_of(exif, {"Exif.Image.Model"}) + " " + photo.serial)};
}

Photo with_trouble(const std::string& path, std::string why) {
  Photo photo;
  photo.file = path;
  photo.trouble = std::move(why);
  return photo;
}

/// `open` gives the image.
Photo read_with(const auto& open, const std::string& name) {
  initialise_exiv();
  bool opened = false;
  try {
    auto image = open();
    if (image.get() == nullptr) return with_trouble(name, "it is no photograph of a known format");
    opened = true;
    image->readMetadata();
    const auto& exif = image->exifData();
    Photo photo;
    photo.file = name;
    read_clock(exif, photo);
    read_settings(exif, photo);
    read_camera(exif, photo);
    return photo;
  } catch (const Exiv2::AnyError& error) {
    if (!opened) return with_trouble(name, "it is no photograph of a known format");
    return with_trouble(name, fmt::format("it is damaged: {}", error.what()));
  } catch (const std::exception& error) {
    return with_trouble(name, fmt::format("it can't be read: {}", error.what()));
  }
}

/// A JPEG ends with a mark of its own (ITU-T T.81, B.1.1.3), or a little before its end.
bool is_cut_short(const std::string& path, std::uintmax_t size) {
  constexpr std::uintmax_t looked_at = 4096;
  std::ifstream file{path, std::ios::binary};
  char start[2] = {};
  if (!file.read(start, 2) || start[0] != '\xFF' || start[1] != '\xD8') return false;
  std::string end(std::min(size, looked_at), '\0');
  file.seekg(-static_cast<std::streamoff>(end.size()), std::ios::end);
  file.read(end.data(), static_cast<std::streamsize>(end.size()));
  return end.rfind("\xFF\xD9") == std::string::npos;
}

}  // namespace

Photo read_photo_bytes(std::string_view bytes, const std::string& name) {
  const auto* data = reinterpret_cast<const Exiv2::byte*>(bytes.data());
  return read_with([&] { return Exiv2::ImageFactory::open(data, static_cast<long>(bytes.size())); }, name);
}

Photo read_photo(const std::string& path) {
  const auto other = posix::other_than_file(path);
  if (!other.empty()) return with_trouble(path, fmt::format("it is {}", other));
  std::error_code error;
  const auto size = std::filesystem::file_size(path, error);
  if (error) return with_trouble(path, fmt::format("it can't be read: {}", error.message()));
  if (size == 0) return with_trouble(path, "it is empty");
  if (is_cut_short(path, size)) return with_trouble(path, "it is cut short");
  // By a FileIo: the library would take some names for addresses of the network.
  return read_with(
      [&] { return Exiv2::ImageFactory::open(Exiv2::BasicIo::AutoPtr{new Exiv2::FileIo{path}}); }, path);
}

std::vector<Photo> read_photos(const std::vector<std::string>& paths, unsigned threads,
                               const std::function<void(int)>& progress) {
  initialise_exiv();
  std::vector<Photo> photos(paths.size());
  const auto one = [&](std::size_t n) -> Result<void> {
    photos[n] = read_photo(paths[n]);
    return {};
  };
  static_cast<void>(each_of(paths.size(), threads, one, progress));  // what can't be read says so itself
  return photos;
}

}  // namespace noonfall::pictures
