// What a device says in labels, errors and file names: values in their ranges or nothing, and no file of two
// frames.

#include <algorithm>

#include "daemon/gphoto/driver_error.h"
#include "daemon/gphoto/frame_files.h"
#include "daemon/gphoto/labels.h"
#include "tests/fuzz/property.h"

using namespace noonfall;

namespace {

std::vector<std::string> lines_of(std::string_view text) {
  std::vector<std::string> lines;
  while (!text.empty()) {
    const auto end = std::min(text.find('\n'), text.size());
    lines.emplace_back(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return lines;
}

void hold_labels(const std::vector<std::string>& labels) {
  const auto shutters = gphoto::choices_of<exposure::Shutter>(labels, gphoto::shutter_of);
  for (const auto& choice : shutters) {
    fuzz::require(choice.value.numerator > 0 && choice.value.denominator > 0, "a time is above zero");
    const auto seconds = exposure::nominal_seconds(choice.value);
    fuzz::require(seconds >= 1.0 / 64000 && seconds <= 900, "a time is in its range");
    fuzz::require(gphoto::as_named(choice.value, choice.value) == choice.value, "a value is itself");
  }
  fuzz::require((gphoto::nearest_choice(shutters, {1, 60}) == nullptr) == shutters.empty(),
                "any choice has a nearest");
  for (const auto& label : labels) {
    if (const auto aperture = gphoto::f_number_of(label))
      fuzz::require(aperture->tenths >= 7 && aperture->tenths <= 1280, "an f-number is in its range");
    if (const auto iso = gphoto::iso_of(label))
      fuzz::require(iso->value >= 6 && iso->value <= 409'600, "an ISO value is in its range");
  }
  fuzz::require(gphoto::drives_of(labels).size() <= 2, "a drive is single or continuous");
  fuzz::require(gphoto::formats_of(labels).size() <= labels.size(), "a label is one format");
}

void hold_files(const std::vector<std::string>& paths) {
  gphoto::FrameFiles files{1};
  std::int32_t next = 0;
  for (const auto& path : paths) {
    if (path.empty() || path.front() == '!') {
      files.released({.frame = ++next}, Utc{} + std::chrono::seconds{next});
    } else {
      (void)files.announced(path, Utc{} + std::chrono::seconds{path.size()});
    }
  }
  std::size_t placed = 0;
  for (const auto& frame : files.take_all()) placed += frame.files.size();
  fuzz::require(placed <= paths.size(), "a file is of one frame");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto text = fuzz::text_of(data, size);
  const auto lines = lines_of(text);
  hold_labels(lines);
  hold_files(lines);
  for (const int code : {-1, -2, -7, -52, -110}) {
    const gphoto::DriverError error{code, std::string{text}};
    fuzz::require(!gphoto::words_of(error).empty(), "a failure has words");
    fuzz::require(gphoto::answer_of(error) != rig::Answer::ok, "a failure isn't well");
  }
  return 0;
}
