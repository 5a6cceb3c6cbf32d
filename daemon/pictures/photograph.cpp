#include "daemon/pictures/photograph.h"

#include <cmath>

#include <fmt/format.h>
#include <exiv2/exiv2.hpp>

#include "daemon/pictures/exiv.h"
#include "lib/time/utc_text.h"

namespace noonfall::pictures {
namespace {

/// "2027:08:02 08:47:28", and the digits behind.
std::pair<std::string, std::string> exif_time(Utc clock, int digits) {
  auto text = to_text_us(clock);
  text[4] = text[7] = ':';
  text[10] = ' ';
  return {text.substr(0, 19), text.substr(20, static_cast<std::size_t>(digits))};
}

std::string zone_text(Duration zone) {
  const auto minutes = std::chrono::duration_cast<std::chrono::minutes>(std::chrono::abs(zone)).count();
  return fmt::format("{}{:02}:{:02}", zone < Duration{0} ? '-' : '+', minutes / 60, minutes % 60);
}

void put_time(Exiv2::ExifData& exif, const ExifFacts& facts) {
  const auto [time, subsec] = exif_time(facts.clock + facts.zone, facts.subsec_digits);
  exif["Exif.Image.DateTime"] = time;
  exif["Exif.Photo.DateTimeOriginal"] = time;
  exif["Exif.Photo.DateTimeDigitized"] = time;
  for (const auto* key :
       {"Exif.Photo.OffsetTime", "Exif.Photo.OffsetTimeOriginal", "Exif.Photo.OffsetTimeDigitized"})
    exif[key] = zone_text(facts.zone);
  if (subsec.empty()) return;
  for (const auto* key :
       {"Exif.Photo.SubSecTime", "Exif.Photo.SubSecTimeOriginal", "Exif.Photo.SubSecTimeDigitized"})
    exif[key] = subsec;
}

void put_settings(Exiv2::ExifData& exif, const ExifFacts& facts) {
  const auto& [shutter, aperture, iso] = facts.exposure;
  exif["Exif.Photo.ExposureTime"] = Exiv2::URational{shutter.numerator, shutter.denominator};
  if (aperture) exif["Exif.Photo.FNumber"] = Exiv2::URational{aperture->tenths, 10};
  // DC-008: the short tag is full at 65535, and the long one has the value.
  exif["Exif.Photo.ISOSpeedRatings"] = static_cast<std::uint16_t>(std::min(iso.value, 65'535));
  exif["Exif.Photo.SensitivityType"] = std::uint16_t{2};  // the recommended exposure index
  exif["Exif.Photo.RecommendedExposureIndex"] = static_cast<std::uint32_t>(iso.value);
  exif["Exif.Photo.ExposureMode"] = std::uint16_t{1};  // manual
  exif["Exif.Photo.ExposureProgram"] = std::uint16_t{1};
  if (facts.focal_length)
    exif["Exif.Photo.FocalLength"] =
        Exiv2::URational{static_cast<std::uint32_t>(std::lround(facts.focal_length->value * 10)), 10};
}

void put_picture(Exiv2::ExifData& exif, const ExifFacts& facts) {
  exif["Exif.Image.Make"] = facts.maker;
  exif["Exif.Image.Model"] = facts.model;
  exif["Exif.Image.Software"] = "noonfall";
  if (!facts.description.empty()) exif["Exif.Image.ImageDescription"] = facts.description;
  if (!facts.serial.empty()) exif["Exif.Photo.BodySerialNumber"] = facts.serial;
  exif["Exif.Image.Orientation"] = std::uint16_t{1};
  exif["Exif.Image.XResolution"] = Exiv2::URational{72, 1};
  exif["Exif.Image.YResolution"] = Exiv2::URational{72, 1};
  exif["Exif.Image.ResolutionUnit"] = std::uint16_t{2};
  exif["Exif.Image.YCbCrPositioning"] = std::uint16_t{1};
  exif["Exif.Photo.ExifVersion"] = "48 50 51 50";          // "0232"
  exif["Exif.Photo.ComponentsConfiguration"] = "1 2 3 0";  // Y Cb Cr
  exif["Exif.Photo.FlashpixVersion"] = "48 49 48 48";
  exif["Exif.Photo.ColorSpace"] = std::uint16_t{1};  // sRGB
  exif["Exif.Photo.PixelXDimension"] = static_cast<std::uint32_t>(facts.width);
  exif["Exif.Photo.PixelYDimension"] = static_cast<std::uint32_t>(facts.height);
}

}  // namespace

std::string with_exif(const std::string& jpeg, const ExifFacts& facts) {
  initialise_exiv();
  auto image = Exiv2::ImageFactory::open(reinterpret_cast<const Exiv2::byte*>(jpeg.data()),
                                         static_cast<long>(jpeg.size()));
  image->readMetadata();
  Exiv2::ExifData exif;
  put_picture(exif, facts);
  put_time(exif, facts);
  put_settings(exif, facts);
  image->setExifData(exif);
  image->writeMetadata();
  auto& io = image->io();
  std::string out(io.size(), '\0');
  io.seek(0, Exiv2::BasicIo::beg);
  io.read(reinterpret_cast<Exiv2::byte*>(out.data()), static_cast<long>(out.size()));
  return out;
}

}  // namespace noonfall::pictures
