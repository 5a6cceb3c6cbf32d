#include <algorithm>
#include <cmath>
#include <span>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "lib/body/profile_text.h"
#include "lib/exposure/scale.h"
#include "lib/time/duration_text.h"

namespace noonfall::body {
namespace {

std::string value_text(exposure::Shutter shutter) {
  return exposure::to_text(shutter);
}
std::string value_text(exposure::FNumber aperture) {
  return exposure::to_text(aperture);
}
std::string value_text(exposure::Iso iso) {
  return fmt::format("{}", iso.value);
}

/// As a range where the values are an unbroken piece of the third-stop scale.
template <class T>
std::string choices_text(const std::vector<T>& values, std::span<const T> scale) {
  const auto found = std::search(scale.begin(), scale.end(), values.begin(), values.end());
  if (values.size() > 1 && found != scale.end()) {
    return fmt::format("{{from: {}, to: {}, by: 1/3 stop}}", value_text(values.front()),
                       value_text(values.back()));
  }
  std::vector<std::string> words;
  for (const auto& value : values) words.push_back(value_text(value));
  return fmt::format("[{}]", fmt::join(words, ", "));
}

std::string points_text(std::string_view key, const std::vector<IntervalPoint>& points) {
  if (points.empty()) return {};
  auto text = fmt::format("{}:\n", key);
  for (const auto& point : points) {
    text += fmt::format("  - {{exposure: {}, interval: {}}}\n", noonfall::to_text(point.exposure),
                        noonfall::to_text(point.interval));
  }
  return text;
}

std::string stops_text(Stops stops) {
  return fmt::format("{} {}", stops.value, stops.value > 1 ? "stops" : "stop");
}

std::string choices_block(const Choices& choices) {
  auto text = fmt::format("choices:\n  shutters: {}\n",
                          choices_text(choices.shutters, exposure::third_stop_shutters()));
  if (!choices.apertures.empty()) {
    text +=
        fmt::format("  apertures: {}\n", choices_text(choices.apertures, exposure::third_stop_f_numbers()));
  }
  return text + fmt::format("  isos: {}\n", choices_text(choices.isos, exposure::third_stop_isos()));
}

std::string brackets_text(const std::optional<OwnBrackets>& brackets) {
  if (!brackets) return {};
  std::vector<std::string> steps;
  for (const auto step : brackets->steps) steps.push_back(stops_text(step));
  return fmt::format("brackets: {{steps: [{}], frames: [{}], widest: {}{}}}\n", fmt::join(steps, ", "),
                     fmt::join(brackets->frames, ", "), stops_text(brackets->widest),
                     brackets->middle_first ? ", order: middle first" : "");
}

std::string times_block(const Profile& profile) {
  const auto& times = profile.setting_times;
  return fmt::format("setting_times: {{shutter: {}, aperture: {}, iso: {}, drive: {}}}\n",
                     noonfall::to_text(times.shutter), noonfall::to_text(times.aperture),
                     noonfall::to_text(times.iso), noonfall::to_text(times.drive)) +
         fmt::format("release: {{typical: {}, jitter: {}}}\n", noonfall::to_text(profile.release.typical),
                     noonfall::to_text(profile.release.jitter)) +
         points_text("single", profile.single) + points_text("continuous", profile.continuous) +
         brackets_text(profile.brackets) + fmt::format("readout: {}\n", noonfall::to_text(profile.readout));
}

std::string sensor_text(const std::optional<SensorPixel>& sensor) {
  if (!sensor) return {};
  return fmt::format("sensor: {{full_well: {} e, read_noise: {} e, base_iso: {}}}\n", sensor->full_well_e,
                     sensor->read_noise_e, sensor->base_iso.value);
}

}  // namespace

std::string to_text(Megabytes size) {
  const bool half_gigabytes = size.value >= 1000 && std::fmod(size.value, 500) == 0;  // read back exactly
  return half_gigabytes ? fmt::format("{} GB", size.value / 1000) : fmt::format("{} MB", size.value);
}

std::string_view to_text(ShutterType type) {
  switch (type) {
    case ShutterType::mechanical:
      return "mechanical";
    case ShutterType::electronic_first_curtain:
      return "electronic first curtain";
    case ShutterType::electronic:
      break;
  }
  return "electronic";
}

std::string to_text(const Profile& profile) {
  std::vector<std::string_view> types;
  for (const auto type : profile.shutter_types) types.push_back(to_text(type));
  return fmt::format("noonfall_body: 1\nname: \"{}\"\n", profile.name) + choices_block(profile.choices) +
         times_block(profile) +
         fmt::format("buffer: {}\nwrite_rate: {} MB/s\n", to_text(profile.buffer), profile.write_rate.value) +
         fmt::format("files: {{raw: {}, jpeg: {}}}\n", to_text(profile.files.raw),
                     to_text(profile.files.jpeg)) +
         fmt::format("shutter_types: [{}]\nbattery_frames: {}\ncard: {}\n", fmt::join(types, ", "),
                     profile.battery_frames, to_text(profile.card)) +
         (profile.rolling_readout == Duration{}
              ? std::string{}
              : fmt::format("rolling_readout: {}\n", noonfall::to_text(profile.rolling_readout))) +
         sensor_text(profile.sensor);
}

}  // namespace noonfall::body
