// Measured facts of one camera body, and nothing about any plan.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "lib/base/units.h"
#include "lib/exposure/exposure.h"
#include "lib/time/utc.h"

namespace noonfall::body {

/// The values a body offers, in rising order.
struct Choices {
  std::vector<exposure::Shutter> shutters;
  std::vector<exposure::FNumber> apertures;  // empty: the body can't set the lens
  std::vector<exposure::Iso> isos;
  bool operator==(const Choices&) const = default;
};

/// How long the body takes to accept a changed setting.
struct SettingTimes {
  Duration shutter{};
  Duration aperture{};
  Duration iso{};
  Duration drive{};  // between single and continuous
  bool operator==(const SettingTimes&) const = default;
};

/// From the release call to the first light: `typical` is the median; every lag lies in typical ± jitter.
struct ReleaseLag {
  Duration typical{};
  Duration jitter{};
  bool operator==(const ReleaseLag&) const = default;
};

/// The least time from one shutter opening to the next at one exposure time; between points by straight line,
/// beyond the last one the frame grows with the exposure.
struct IntervalPoint {
  Duration exposure{};
  Duration interval{};
  bool operator==(const IntervalPoint&) const = default;
};

/// How frames follow each other: one release call a frame, the body's own burst, or its own bracket: a burst
/// in which each frame has another shutter time.
enum class Drive { single, continuous, bracket };

[[nodiscard]] constexpr std::string_view to_text(Drive drive) {
  constexpr std::string_view words[] = {"single", "continuous", "bracket"};
  return words[static_cast<std::size_t>(drive)];
}

/// What brackets a body takes by itself, around the shutter time it is set to.
struct OwnBrackets {
  std::vector<Stops> steps;  // from one frame to the next
  std::vector<int> frames;
  Stops widest;               // from its shortest to its longest time
  bool middle_first = false;  // then a shorter one, a longer one, and so on; else from short to long
  bool operator==(const OwnBrackets&) const = default;
};

/// What one frame leaves on the card.
enum class Files { raw, jpeg, raw_and_jpeg };
[[nodiscard]] constexpr std::string_view to_text(Files files) {
  constexpr std::string_view words[] = {"raw", "jpeg", "raw+jpeg"};
  return words[static_cast<std::size_t>(files)];
}

enum class ShutterType { mechanical, electronic_first_curtain, electronic };
struct BytesPerFile {
  Megabytes raw;
  Megabytes jpeg;
  bool operator==(const BytesPerFile&) const = default;
};

/// One pixel of the sensor.
struct SensorPixel {
  double full_well_e = 0;   // electrons that fill it at the base ISO
  double read_noise_e = 0;  // electrons
  exposure::Iso base_iso{100};
  bool operator==(const SensorPixel&) const = default;
};

struct Profile {
  std::string name;
  Choices choices;
  SettingTimes setting_times;
  ReleaseLag release;
  std::vector<IntervalPoint> single;      // by rising exposure, at least one point
  std::vector<IntervalPoint> continuous;  // empty: the body has no continuous drive
  std::optional<OwnBrackets> brackets;    // its frames follow each other as in a burst
  Duration readout{};                     // after the shutter closes, before a setting is accepted again
  Megabytes buffer;                       // what the body holds before the card has it
  Megabytes write_rate;                   // per second, to the card
  BytesPerFile files;
  std::vector<ShutterType> shutter_types;  // the first is the default
  Duration rolling_readout{};              // of the electronic shutter, top to bottom; zero: unknown
  int battery_frames = 0;                  // frames on a full battery, tethered
  Megabytes card;
  std::optional<SensorPixel> sensor;  // unknown: guessed from the size of its pixels
  bool operator==(const Profile&) const = default;
};

}  // namespace noonfall::body
