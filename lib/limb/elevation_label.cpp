#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "lib/limb/elevation_image.h"
#include "lib/limb/pds_label.h"

namespace noonfall::limb {
namespace {

constexpr std::uint32_t coarsest = 4;
constexpr std::uint32_t finest = 512;

std::optional<double> number(std::string_view text) {
  if (text.starts_with('+')) text.remove_prefix(1);
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  const bool whole = error == std::errc{} && end == text.data() + text.size();
  return whole && std::isfinite(value) ? std::optional{value} : std::nullopt;
}

/// Takes what is needed out of the statements and remembers all that is wrong.
class Checker {
 public:
  explicit Checker(const std::vector<LabelStatement>& statements) : statements_(statements) {}

  ElevationLabel take() {
    word("", "PDS_VERSION_ID", {"PDS3"});
    word("", "TARGET_NAME", {"MOON"});
    ElevationLabel label;
    take_projection(label);
    take_image(label);
    return label;
  }
  Diagnostics findings() && { return std::move(findings_); }

 private:
  static constexpr const char* map = "IMAGE_MAP_PROJECTION";

  void take_projection(ElevationLabel& label) {
    word(map, "MAP_PROJECTION_TYPE", {"SIMPLE CYLINDRICAL"});
    const auto resolution = measure(map, "MAP_RESOLUTION", coarsest, finest);
    if (resolution != std::floor(resolution))
      refuse(map, "MAP_RESOLUTION", "a whole number of pixels a degree");
    label.pixels_per_degree = static_cast<std::uint32_t>(resolution);
    word(map, "POSITIVE_LONGITUDE_DIRECTION", {"EAST"});
    exactly(map, "WESTERNMOST_LONGITUDE", 0);
    exactly(map, "EASTERNMOST_LONGITUDE", 360);
    exactly(map, "MAXIMUM_LATITUDE", 90);
    exactly(map, "MINIMUM_LATITUDE", -90);
    const auto* frame = find(map, "COORDINATE_SYSTEM_NAME");
    if (frame == nullptr || !frame->value.starts_with("MEAN EARTH"))
      refuse(map, "COORDINATE_SYSTEM_NAME", "the mean-Earth frame");
  }

  void take_image(ElevationLabel& label) {
    if (const auto* file = find({}, "^IMAGE")) label.image_file = file_of(*file);
    exactly("IMAGE", "LINES", label.lines());
    exactly("IMAGE", "LINE_SAMPLES", label.samples());
    take_sample(label);
    const double metres = word("IMAGE", "UNIT", {"METER", "KILOMETER"}) == "KILOMETER" ? 1000 : 1;
    label.km_per_unit = measure("IMAGE", "SCALING_FACTOR", 1e-6, 1000) * metres / 1000;
    label.reference_radius_km = measure("IMAGE", "OFFSET", 1730, 1745'000);
    if (label.reference_radius_km > 1745) label.reference_radius_km /= 1000;
    if (!(label.reference_radius_km >= 1730)) refuse("IMAGE", "OFFSET", "the Moon's reference radius");
    same_as_file(label);
  }

  void take_sample(ElevationLabel& label) {
    const auto type = word("IMAGE", "SAMPLE_TYPE", {"LSB_INTEGER", "PC_REAL"});
    label.sample = type == "PC_REAL" ? ElevationLabel::Sample::float32 : ElevationLabel::Sample::int16;
    exactly("IMAGE", "SAMPLE_BITS", type == "PC_REAL" ? 32 : 16);
  }

  /// The part of the label that describes the file must tell of the same image.
  void same_as_file(const ElevationLabel& label) {
    if (!findings_.empty()) return;
    const auto bytes = static_cast<double>(label.image_bytes());
    const auto* records = find({}, "FILE_RECORDS");
    const auto* length = find({}, "RECORD_BYTES");
    if (records == nullptr || length == nullptr) return;
    const auto count = number(records->value);
    const auto each = number(length->value);
    if (count && each && *count * *each == bytes) return;
    add(records->mark,
        fmt::format("{} records of {} bytes don't hold {} lines of {} samples", records->value, length->value,
                    label.lines(), label.samples()),
        fmt::format("{} bytes", label.image_bytes()));
  }

  /// "LDEM_4.IMG", or ("LDEM_4.IMG", 1).
  std::string file_of(const LabelStatement& pointer) {
    auto name = pointer.value;
    const auto quote = name.find('"');
    if (quote == std::string::npos) return name;
    const auto end = name.find('"', quote + 1);
    const auto rest = end == std::string::npos ? std::string{"?"} : name.substr(end + 1);
    std::string offset;
    for (const char c : rest) {
      if (c != ' ' && c != ',' && c != '\r' && c != '\n') offset += c;
    }
    if (!offset.empty() && offset != "1")
      add(pointer.mark, "the image doesn't begin with its file", "an image file of its own");
    return name.substr(quote + 1, end == std::string::npos ? end : end - quote - 1);
  }

  /// The first of that name; with `object` empty, in any object.
  const LabelStatement* find(std::string_view object, std::string_view keyword) {
    const auto found = std::find_if(statements_.begin(), statements_.end(), [&](const LabelStatement& each) {
      return each.keyword == keyword && (object.empty() || each.object == object);
    });
    return found == statements_.end() ? nullptr : &*found;
  }

  void add(Mark mark, std::string message, std::string hint) {
    findings_.push_back(error_at(mark, "pds-label", std::move(message), std::move(hint)));
  }

  void refuse(std::string_view object, std::string_view keyword, const std::string& wanted) {
    const auto* found = find(object, keyword);
    if (found == nullptr) {
      add({1, 1}, fmt::format("{} is missing", keyword), wanted);
    } else {
      add(found->mark, fmt::format("{} is {}", keyword, found->value), wanted);
    }
  }

  std::string word(std::string_view object, std::string_view keyword,
                   std::initializer_list<std::string_view> wanted) {
    const auto* found = find(object, keyword);
    if (found != nullptr && std::find(wanted.begin(), wanted.end(), found->value) != wanted.end())
      return found->value;
    std::string all;
    for (const auto each : wanted) all += fmt::format("{}{}", all.empty() ? "" : " or ", each);
    refuse(object, keyword, all);
    return {};
  }

  double measure(std::string_view object, std::string_view keyword, double low, double high) {
    const auto* found = find(object, keyword);
    const auto value = found == nullptr ? std::nullopt : number(found->value);
    if (value && *value >= low && *value <= high) return *value;
    refuse(object, keyword, fmt::format("{} to {}", low, high));
    return low;
  }

  void exactly(std::string_view object, std::string_view keyword, double wanted) {
    const auto* found = find(object, keyword);
    const auto value = found == nullptr ? std::nullopt : number(found->value);
    if (!value || *value != wanted) refuse(object, keyword, fmt::format("{}", wanted));
  }

  const std::vector<LabelStatement>& statements_;
  Diagnostics findings_;
};

}  // namespace

Result<ElevationLabel> parse_elevation_label(std::string_view text) {
  const auto statements = parse_pds_label(text);
  if (!statements) return fail(statements.error());
  Checker checker{*statements};
  auto label = checker.take();
  auto findings = std::move(checker).findings();
  if (!findings.empty()) return fail(std::move(findings));
  return label;
}

}  // namespace noonfall::limb
