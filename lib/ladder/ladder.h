// Which exposures of the corona leave the least noise in the time there is, and how little that is.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "lib/base/units.h"
#include "lib/body/profile.h"
#include "lib/exposure/exposure.h"
#include "lib/exposure/subject.h"
#include "lib/time/utc.h"

namespace noonfall::ladder {

/// The body's own figures, or where its profile has none those of a usual sensor with such pixels: 1500
/// electrons a square micrometre at ISO 100, 3.5 electrons of read noise (from memory). Unknown pixels count
/// as 5 um.
[[nodiscard]] body::SensorPixel sensor_of(const body::Profile& profile, std::optional<Micrometres> pixel);

/// What every frame of a stack has in common.
struct Optics {
  body::SensorPixel sensor;
  exposure::FNumber aperture;
  Stops lost;  // to the air
  bool operator==(const Optics&) const = default;
};

/// Electrons a second in a pixel: the corona's after Baumbach 1937 (as in Allen, Astrophysical Quantities),
/// scaled so that the published exposure for 1 radius puts that height at middle grey, 10/78 of saturation
/// (ISO 12232); the sky's in totality 4.6e-10 of the mean disc (sky meters in Idaho, 2017).
[[nodiscard]] double corona_electrons(const Optics& light, double radii);
[[nodiscard]] double sky_electrons(const Optics& light);

struct Frames {  // of one exposure
  exposure::Shutter shutter;
  exposure::Iso iso;
  double count = 1;
};

struct Signal {
  double radii = 0;  // above the limb
  double to_noise = 0;
  bool operator==(const Signal&) const = default;
};

/// Signal to noise of one pixel at a height, all frames stacked by their weight: noise of photons, of the
/// sky's photons and of reading. Frames that clip there, above 60 % of what their ISO leaves of the full
/// well (the corona is brighter than the law at times), count for nothing.
[[nodiscard]] double stacked(const Optics& light, std::span<const Frames> frames, double radii);

/// At 0.05, 0.1, 0.2, 0.5, 1, 2 and 4 radii, those within the subject's heights.
[[nodiscard]] std::vector<Signal> signals(const Optics& light, std::span<const Frames> frames,
                                          const exposure::Subject& corona);
/// The worst; 0 for none.
[[nodiscard]] double worst(std::span<const Signal> signals);

/// What a ladder is chosen for.
struct Task {
  const body::Profile& profile;
  Optics light;
  std::optional<exposure::FNumber> aperture;  // as the body is told; none: the lens has its own
  exposure::Iso iso;
  exposure::Subject corona;
  std::vector<exposure::Shutter> shutters;  // allowed, from short to long; at least one
  Duration time{};                          // for sets taken back to back
};

/// How many frames of each rung the time has room for, by the body's own speed; those of a last unfinished
/// set are counted.
[[nodiscard]] std::vector<Frames> frames_in_time(const Task& task, std::span<const exposure::Shutter> rungs);

/// The published exposure of the lowest to that of the highest part, `by` apart, as far as the choices go.
[[nodiscard]] std::vector<exposure::Shutter> equal_steps(const Task& task, Stops by = {2});

/// From short to long, some of them repeated: the ladder with the best worst signal to noise that a search
/// from equal steps of several widths finds, never one that is worse than `equal_steps`, and with as many
/// whole sets as that has, up to three.
[[nodiscard]] std::vector<exposure::Shutter> best_ladder(const Task& task);

}  // namespace noonfall::ladder
