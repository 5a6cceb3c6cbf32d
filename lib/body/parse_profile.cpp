#include <algorithm>
#include <string>

#include <fmt/format.h>

#include "lib/base/number.h"
#include "lib/body/model.h"
#include "lib/body/profile_text.h"
#include "lib/body/read_choices.h"
#include "lib/time/duration_text.h"
#include "lib/yaml/field.h"
#include "lib/yaml/reader.h"
#include "lib/yaml/typed.h"

namespace noonfall::body {
namespace {

using namespace std::chrono_literals;
using yaml::Field;
using yaml::MapReader;

constexpr std::size_t longest_name = 60;
constexpr double least_megabytes = 0.1;
constexpr double most_megabytes = 100'000'000;
constexpr int most_battery_frames = 1'000'000;

/// A span of at most `longest`; zero when absent or wrong.
Duration read_span(const Field& field, Duration longest) {
  const auto wanted = fmt::format("a duration like 40 ms, at most {}", noonfall::to_text(longest));
  const auto span = yaml::read_as(field, parse_duration, wanted);
  if (!span) return {};
  if (*span <= longest) return *span;
  field.error("out-of-range", fmt::format("{} is out of range", noonfall::to_text(*span)), wanted);
  return {};
}

std::optional<Megabytes> parse_megabytes(std::string_view text) {
  const double scale = text.ends_with("GB") ? 1000 : 1;
  if (!text.ends_with("GB") && !text.ends_with("MB")) return std::nullopt;
  const auto number = parse_decimal(trim(text.substr(0, text.size() - 2)));
  if (!number || *number * scale < least_megabytes || *number * scale > most_megabytes) return std::nullopt;
  return Megabytes{*number * scale};
}

Megabytes read_size(const Field& field) {
  return yaml::read_as(field, parse_megabytes, "a size like 25 MB or 128 GB, at least 0.1 MB")
      .value_or(Megabytes{});
}

std::string read_name(const Field& field) {
  const std::string wanted = "a short name of letters a to z, digits and \"-\"";
  const auto name = yaml::read_line(field, longest_name, wanted);
  if (!name) return {};
  const bool plain = std::all_of(name->begin(), name->end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-';
  });
  if (!plain) yaml::refuse_text(field, *name, wanted);
  return *name;
}

Choices read_choices(const Field& field) {
  Choices choices;
  if (!field) return choices;
  MapReader map{field, "choices"};
  choices.shutters = read_shutters(map.required("shutters"));
  choices.apertures = read_apertures(map.optional("apertures"));
  choices.isos = read_isos(map.required("isos"));
  map.finish();
  return choices;
}

SettingTimes read_setting_times(const Field& field) {
  SettingTimes times;
  if (!field) return times;
  MapReader map{field, "setting_times"};
  times.shutter = read_span(map.required("shutter"), 1min);
  times.aperture = read_span(map.required("aperture"), 1min);
  times.iso = read_span(map.required("iso"), 1min);
  times.drive = read_span(map.required("drive"), 1min);
  map.finish();
  return times;
}

ReleaseLag read_release(const Field& field) {
  ReleaseLag lag;
  if (!field) return lag;
  MapReader map{field, "release"};
  lag.typical = read_span(map.required("typical"), 10s);
  const auto jitter = map.required("jitter");
  lag.jitter = read_span(jitter, 10s);
  map.finish();
  if (lag.jitter > lag.typical) {
    jitter.error(
        "out-of-range", fmt::format("{} is more than the typical lag", noonfall::to_text(lag.jitter)),
        fmt::format("at most {}: no shutter opens before the release", noonfall::to_text(lag.typical)));
  }
  return lag;
}

IntervalPoint read_point(const Field& field, const std::vector<IntervalPoint>& before) {
  MapReader map{field, field.name()};
  const auto exposure = map.required("exposure");
  const auto interval = map.required("interval");
  const IntervalPoint point{read_span(exposure, 15min), read_span(interval, 20min)};
  map.finish();
  if (exposure && !before.empty() && point.exposure <= before.back().exposure) {
    exposure.error("not-rising",
                   fmt::format("{} comes after {}", noonfall::to_text(point.exposure),
                               noonfall::to_text(before.back().exposure)),
                   "points by rising exposure");
  }
  if (interval && (point.interval < point.exposure || point.interval == Duration{})) {
    interval.error("out-of-range",
                   fmt::format("{} is shorter than a frame can be", noonfall::to_text(point.interval)),
                   "from one shutter opening to the next: at least the exposure, above zero");
  }
  return point;
}

std::vector<IntervalPoint> read_points(const Field& field) {
  std::vector<IntervalPoint> points;
  for (const auto& item : yaml::read_list(field, "a list of {exposure: DURATION, interval: DURATION}")) {
    points.push_back(read_point(item, points));
  }
  return points;
}

std::optional<Stops> read_stops(const Field& field) {
  const auto text = yaml::read_text(field, "stops");
  const auto unit = text && text->ends_with("stop") ? "stop" : "stops";
  const auto stops = yaml::read_quantity(field, unit, {0.3, 20}, "0.3 to 20 stops, like 2 stops");
  return stops ? std::optional{Stops{*stops}} : std::nullopt;
}

std::optional<OwnBrackets> read_brackets(const Field& field, const std::vector<IntervalPoint>& continuous) {
  if (!field) return {};
  OwnBrackets brackets;
  MapReader map{field, "brackets"};
  for (const auto& item : yaml::read_list(map.required("steps"), "a list of steps like [1 stop, 2 stops]")) {
    if (const auto step = read_stops(item)) brackets.steps.push_back(*step);
  }
  for (const auto& item : yaml::read_list(map.required("frames"), "a list of numbers like [3, 5]")) {
    const auto frames = yaml::read_integer(item, {2, 15}, "a number of frames from 2 to 15");
    if (frames) brackets.frames.push_back(static_cast<int>(*frames));
  }
  brackets.widest = read_stops(map.required("widest")).value_or(Stops{20});
  constexpr yaml::Choice<bool> orders[] = {{"short first", false}, {"middle first", true}};
  brackets.middle_first = yaml::read_choice(map.optional("order"), orders).value_or(false);
  map.finish();
  if (continuous.empty())
    field.error("out-of-range", "brackets without a continuous drive", "`continuous`: a bracket is a burst");
  return brackets;
}

BytesPerFile read_files(const Field& field) {
  BytesPerFile files;
  if (!field) return files;
  MapReader map{field, "files"};
  files.raw = read_size(map.required("raw"));
  files.jpeg = read_size(map.required("jpeg"));
  map.finish();
  return files;
}

std::vector<ShutterType> read_shutter_types(const Field& field) {
  constexpr yaml::Choice<ShutterType> words[] = {
      {"mechanical", ShutterType::mechanical},
      {"electronic first curtain", ShutterType::electronic_first_curtain},
      {"electronic", ShutterType::electronic}};
  std::vector<ShutterType> types;
  for (const auto& item : yaml::read_list(field, "a list of shutter types, the default first")) {
    if (const auto type = yaml::read_choice(item, words)) types.push_back(*type);
  }
  return types;
}

std::optional<SensorPixel> read_sensor(const Field& field) {
  if (!field) return {};
  MapReader map{field, "sensor"};
  SensorPixel sensor;
  sensor.full_well_e = yaml::read_quantity(map.required("full_well"), "e", {1000, 1'000'000},
                                           "electrons from 1000 to 1000000, like 50000 e")
                           .value_or(1000);
  sensor.read_noise_e = yaml::read_quantity(map.required("read_noise"), "e", {0.1, 100},
                                            "electrons from 0.1 to 100, like 3.5 e")
                            .value_or(1);
  const auto iso = yaml::read_integer(map.required("base_iso"), {6, 409600}, "an ISO value like 100");
  sensor.base_iso.value = static_cast<std::int32_t>(iso.value_or(100));
  map.finish();
  return sensor;
}

/// A buffer that can't take one frame would stop every prediction.
void check_buffer(const Field& field, const Profile& profile) {
  const auto largest = frame_size(profile, Files::raw_and_jpeg);
  if (profile.buffer >= largest || profile.buffer == Megabytes{}) return;
  field.error("out-of-range", fmt::format("{} doesn't hold one frame", to_text(profile.buffer)),
              fmt::format("at least {}, a raw and a jpeg file", to_text(largest)));
}

Profile read_profile(MapReader& map) {
  Profile profile;
  (void)yaml::read_integer(map.required("noonfall_body"), {1, 1}, "1, the version of this format");
  profile.name = read_name(map.required("name"));
  profile.choices = read_choices(map.required("choices"));
  profile.setting_times = read_setting_times(map.required("setting_times"));
  profile.release = read_release(map.required("release"));
  profile.single = read_points(map.required("single"));
  profile.continuous = read_points(map.optional("continuous"));
  profile.brackets = read_brackets(map.optional("brackets"), profile.continuous);
  profile.readout = read_span(map.required("readout"), 1min);
  const auto buffer = map.required("buffer");
  profile.buffer = read_size(buffer);
  const auto rate =
      yaml::read_quantity(map.required("write_rate"), "MB/s", {0.1, 100'000}, "0.1 MB/s to 100000 MB/s");
  profile.write_rate = {rate.value_or(0)};
  profile.files = read_files(map.required("files"));
  profile.shutter_types = read_shutter_types(map.required("shutter_types"));
  profile.battery_frames = static_cast<int>(
      yaml::read_integer(map.required("battery_frames"), {1, most_battery_frames}, "1 to 1000000")
          .value_or(0));
  profile.card = read_size(map.required("card"));
  profile.rolling_readout = read_span(map.optional("rolling_readout"), 1s);
  profile.sensor = read_sensor(map.optional("sensor"));
  map.finish();
  check_buffer(buffer, profile);
  return profile;
}

}  // namespace

Result<Profile> parse_profile(std::string_view text, std::string_view file) {
  Diagnostics findings;
  Profile profile;
  if (const auto root = yaml::read(text)) {
    MapReader map{*root, "the body profile", findings};
    profile = read_profile(map);
  } else {
    findings = root.error();
  }
  if (findings.empty()) return profile;
  findings = first_by_place(std::move(findings), yaml::most_errors);
  attach_source(findings, file, text);
  return fail(std::move(findings));
}

}  // namespace noonfall::body
