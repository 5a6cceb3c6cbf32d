// Where the Sun stands in the frame of a camera on a fixed mount, and where to point it so that it stays
// there.
#pragma once

#include <optional>
#include <vector>

#include "lib/base/units.h"
#include "lib/contacts/sky_track.h"
#include "lib/plan/plan.h"
#include "lib/timeline/given.h"

namespace noonfall::timeline {

struct Timeline;

/// From the middle of the frame, the camera held level and its sensor's width across: 0.5 is the right or the
/// upper edge.
struct FramePlace {
  double right = 0;  // in frame widths
  double up = 0;     // in frame heights
  bool operator==(const FramePlace&) const = default;
};

/// What the middle of the frame is pointed at.
struct Pointing {
  Degrees altitude;  // as it is seen, with refraction
  Degrees azimuth;   // from north through east
  bool operator==(const Pointing&) const = default;
};

/// Of a camera that sees the Sun.
struct View {
  Millimetres focal_length;
  Millimetres width;
  Millimetres height;
  bool operator==(const View&) const = default;
};
/// Empty without a sensor.
[[nodiscard]] std::optional<View> view_of(const plan::Rig& rig);

/// The Sun's centre, by the plane picture that a lens makes. Beyond 80 degrees off the middle, as far out as
/// there.
[[nodiscard]] FramePlace place_in_frame(const View& view, const Pointing& pointing,
                                        const contacts::SunPlace& sun);
/// In solar radii from the Sun's centre to the nearest edge; below zero outside.
[[nodiscard]] double room_in_frame(const View& view, const FramePlace& place);

/// At the Sun as it will stand then.
[[nodiscard]] Pointing pointing_at(const contacts::Circumstances& sky, Utc centred);

/// For how long the Sun, and `radii` from its centre all around, stay inside the frame that was pointed at
/// where it stands at `centred`. Empty where that doesn't fit even then. At most six hours each way.
[[nodiscard]] std::optional<contacts::TimeSpan> stays_in_frame(const View& view,
                                                               const contacts::Circumstances& sky,
                                                               Utc centred, double radii = 1);

/// One line of a rig's table for aiming ahead: somebody is at the rig, and points it where the Sun will be.
struct Aiming {
  std::optional<std::size_t> span;  // among the timeline's hands-on spans; none: before the first frame
  Utc until;                        // from then on the rig is left alone
  Utc centred;                      // when the Sun will stand in the middle of the frame
  Pointing pointing;
  FramePlace sun_at_end;     // where the Sun has to stand in the frame at `until`
  contacts::TimeSpan stays;  // all of the Sun is in the frame
  bool operator==(const Aiming&) const = default;
};

/// The last visit before `at`; before any, the setting up. At least one.
[[nodiscard]] const Aiming& in_force(const std::vector<Aiming>& aimings, Utc at);

/// The way of the Sun through the frame during a step, of the frames alone.
struct Passage {
  FramePlace first;
  FramePlace last;
  FramePlace farthest;  // with the least room to an edge, and when
  Utc farthest_at;
  double room = 0;  // there, in solar radii from the Sun's centre; below zero outside
  bool operator==(const Passage&) const = default;
};

/// What a lens makes of the Sun on a sensor.
struct Framing {
  Degrees width;   // of the field
  Degrees height;  // …
  Millimetres sun;
  double sun_pixels = 0;
  double sun_share = 0;              // of the height
  double corona_radii = 0;           // above the limb, the Sun in the middle: they fit the shorter side
  std::optional<Seconds> untrailed;  // on a fixed mount, by a pixel and the Sun's declination
  std::optional<Seconds> on_film;    // on a fixed mount, 340 s / f in mm
  std::vector<Aiming> aimings;       // on a fixed mount, by time
  bool operator==(const Framing&) const = default;
};

/// How long the body takes to read the rows that the Sun covers.
[[nodiscard]] Duration readout_over_sun(const body::Profile& profile, const Framing& framing);

/// Fills in `framing` of every rig with a sensor that sees the Sun, and `passage` of its steps where the
/// mount is fixed. A hands-on span without `aim` is taken to aim for the middle of the frames in totality
/// before the next span, or where there are none of all frames up to it. After every rule that cuts a step.
void frame_the_sun(const Given& given, Timeline& timeline);

/// Frames in which the Sun, or half a radius of the corona, is outside (warnings).
void doubt_framing(const Given& given, const Timeline& timeline, Diagnostics& warnings);

}  // namespace noonfall::timeline
