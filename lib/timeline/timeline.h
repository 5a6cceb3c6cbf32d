// The plan resolved: everything that will happen, at absolute UTC instants. Nothing after this interprets
// anything.
#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "lib/base/diagnostic.h"
#include "lib/body/profile.h"
#include "lib/contacts/contact.h"
#include "lib/exposure/brightness.h"
#include "lib/exposure/exposure.h"
#include "lib/exposure/subject.h"
#include "lib/ladder/ladder.h"
#include "lib/plan/plan.h"
#include "lib/time/utc.h"
#include "lib/timeline/aiming.h"

namespace noonfall::timeline {

/// The exposures of one set, in shooting order, with the predicted time of each shutter opening after the
/// first.
struct SetShape {
  std::vector<exposure::Exposure> exposures;
  std::vector<Duration> offsets;  // same length; the first is zero
  Duration lasts{};               // first opening to last closing
  Duration cycle{};  // first opening to the earliest next first opening of the step's following set
  bool operator==(const SetShape&) const = default;
};

/// A set with an instant of its own.
struct Target {
  Utc due;
  std::size_t shape = 0;  // which of the step's shapes
  bool operator==(const Target&) const = default;
};

/// One shooting step on one rig.
struct RigStep {
  std::size_t plan_step = 0;  // index in the plan
  std::string name;
  Mark mark;
  exposure::Subject subject;
  body::Drive drive = body::Drive::single;
  bool filtered = true;          // the filter is on the lens for these frames
  Utc from;                      // no shutter opens earlier
  Utc until;                     // every shutter is closed by then, the filter window's edge included
  std::vector<SetShape> shapes;  // taken in turn; with targets, further turns as the light changes
  std::size_t in_turn = 1;       // the shapes of one turn
  bool back_to_back = false;
  std::vector<Target> targets;  // empty when back to back
  int predicted_sets = 0;       // targets, or how many fit back to back by the profile
  Duration patience{};          // zero when back to back
  Duration lead{};              // how long before a due instant the settings are sent
  plan::Unfinished unfinished = plan::Unfinished::keep;
  int leave_free_frames = 0;
  std::optional<Passage> passage = {};  // on a fixed mount with a known sensor
  bool operator==(const RigStep&) const = default;

  [[nodiscard]] int predicted_frames() const;
  /// The first due instant; back to back, the earliest possible one.
  [[nodiscard]] Utc first_opening() const;
  /// When the last shutter closes if nothing is late; back to back, when it must be closed.
  [[nodiscard]] Utc last_closing() const;
};

/// The filter may be off the lens within; the core speaks the cues and keeps the filter's state by it.
struct FilterWindow {
  Utc opens;         // the filter-off cue ends here, the filter may start coming off
  Utc usable_from;   // opens + handling: the first unfiltered shutter may open
  Utc usable_until;  // the last unfiltered shutter is closed: the filter-on cue ends here
  Utc closes;        // the filter is back on
  bool operator==(const FilterWindow&) const = default;
};

/// What all planned frames of the corona give when stacked, and what ladders of 2 stops would in the same
/// time.
struct CoronaSignal {
  ladder::Optics light;
  std::vector<ladder::Signal> planned;
  std::vector<ladder::Signal> equal_steps;  // at the same heights
  bool operator==(const CoronaSignal&) const = default;
};

/// By what the exposure of the filtered Sun is computed.
struct FilteredLight {
  exposure::Brightness sun;  // through the filter, all of the Sun, 60 degrees high
  double magnitudes_per_airmass = exposure::clear_air_magnitudes;
  std::optional<exposure::FNumber> aperture = {};  // of a lens that the body can't set
  bool operator==(const FilteredLight&) const = default;
};

struct RigTimeline {  // one rig
  std::string name;
  std::string person;     // whose hands are at it; empty: the one person's there is
  bool by_hand = false;   // cues and a sheet, no orders
  body::Profile profile;  // by hand, what a person does with a camera
  body::Files files = body::Files::raw;
  std::optional<FilterWindow> window;  // none: the filter stays on, or there is none
  bool has_filter = true;
  bool sun_in_frame = true;                          // may be, as the plan says of a rig without a filter
  std::vector<RigStep> steps;                        // by time, never overlapping
  std::optional<CoronaSignal> corona;                // of steps for a range of heights
  std::optional<Framing> framing;                    // of one with a sensor that sees the Sun
  std::optional<FilteredLight> filtered_light = {};  // of one that sees it through a filter
  bool operator==(const RigTimeline&) const = default;

  [[nodiscard]] int predicted_frames() const;
};

enum class CueKind { spoken, filter_off, filter_on, hands_on, hands_off, eyes };

/// Words that end at an instant.
struct Cue {
  Utc ends;
  std::string words;
  CueKind kind = CueKind::spoken;
  std::size_t rig = 0;  // for all kinds but spoken and eyes
  bool operator==(const Cue&) const = default;
};

struct HandsOnSpan {
  std::size_t rig = 0;
  std::size_t plan_step = 0;
  std::string name;
  Mark mark;
  Utc from;
  Utc until;
  std::optional<Utc> aim = {};  // when the Sun is to stand in the middle of the frame
  bool operator==(const HandsOnSpan&) const = default;
};

struct Skipped {  // a step left out before the run, with the reason in words
  std::string step;
  std::string rig;
  std::string why;
  bool operator==(const Skipped&) const = default;
};

struct Timeline {
  std::string title;
  contacts::Circumstances circumstances;
  std::string zone;  // for display
  Degrees horizon;   // what hides the Sun stands so high
  plan::Language language = plan::Language::english;
  std::vector<RigTimeline> rigs;
  std::vector<Cue> cues;  // by `ends`
  std::vector<HandsOnSpan> hands_on;
  std::vector<Skipped> skipped;
  bool operator==(const Timeline&) const = default;

  /// Those noonfall orders: frames taken by hand aren't counted.
  [[nodiscard]] int predicted_frames() const;
};

/// The whole timeline at another time, for a rehearsal: every instant, those of the contacts included, later
/// by `by`; where the Sun stands stays as on the day.
[[nodiscard]] Timeline moved(Timeline timeline, Duration by);

}  // namespace noonfall::timeline
