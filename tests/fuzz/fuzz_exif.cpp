// A photograph of anybody's: whatever its bytes, what is read of it is within bounds or is trouble in words;
// and any pictures and a log go together without loss.
#include "daemon/pictures/read_photo.h"
#include "lib/collate/collate.h"
#include "lib/collate/manifest.h"
#include "lib/exposure/scale.h"
#include "tests/fuzz/property.h"

using namespace noonfall;

namespace {

void check_photo(const collate::Photo& photo) {
  using namespace std::chrono_literals;
  fuzz::require(photo.grain >= 1us && photo.grain <= 1s, "a clock has a last digit");
  if (photo.shutter) {
    fuzz::require(
        !exposure::shorter(*photo.shutter, {1, 64'000}) && !exposure::shorter({900, 1}, *photo.shutter),
        "a shutter time is one");
    fuzz::require(exposure::parse_shutter(to_text(*photo.shutter)).has_value(), "its name is one");
  }
  if (photo.aperture)
    fuzz::require(photo.aperture->tenths >= 7 && photo.aperture->tenths <= 1280, "an f-number is one");
  if (photo.iso) fuzz::require(photo.iso->value >= 6 && photo.iso->value <= 409'600, "an ISO value is one");
  const bool nothing =
      !photo.clock && !photo.shutter && !photo.aperture && !photo.iso && photo.camera.empty();
  fuzz::require(photo.trouble.empty() || nothing, "what has trouble says nothing else");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto photo = pictures::read_photo_bytes(fuzz::text_of(data, size), "a.jpg");
  check_photo(photo);
  collate::Logged log;
  collate::Shot shot;
  shot.frame = {"long", "corona", 1, 1};
  log.shots.push_back(shot);
  const auto all = collate::collate(log, {photo, photo});
  fuzz::require(all.rows.size() >= 2, "every file has its row");
  for (const auto& row : all.rows)
    fuzz::require(collate::place_in_tree(all, row).find("..") == std::string::npos, "no link leads out");
  fuzz::require(!collate::to_csv(all).empty() && !collate::to_json(all).empty(), "it can be written");
  return 0;
}
