// A plan as typed values: what the user wrote, nothing resolved. Every value keeps the place it was read
// from.
#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "lib/base/diagnostic.h"
#include "lib/base/units.h"
#include "lib/body/profile.h"
#include "lib/contacts/contact.h"
#include "lib/exposure/exposure.h"
#include "lib/exposure/subject.h"
#include "lib/time/utc.h"
#include "lib/time/utc_text.h"

namespace noonfall::plan {

/// Where a value was read. Plans compare by content: this isn't part of what the value says, and any two are
/// equal.
struct ReadAt : Mark {
  constexpr ReadAt() = default;
  constexpr ReadAt(Mark mark) : Mark{mark} {}
  friend constexpr bool operator==(ReadAt, ReadAt) { return true; }
};

/// "C2 - 8 s": a contact and a signed offset.
struct ContactOffset {
  contacts::ContactName contact = contacts::ContactName::c1;
  Duration offset{};
  double percent_of_totality = 0;  // "MID + 10 % of totality": signed; then `offset` is zero
  bool operator==(const ContactOffset&) const = default;
};
using InstantValue = std::variant<ContactOffset, Utc>;
struct Instant {
  InstantValue value;
  ReadAt mark;
  bool operator==(const Instant&) const = default;
};

/// One value, or limits within which noonfall picks for the subject.
template <class T>
struct Limits {
  T low;
  T high;  // equal to low for a single value
  bool operator==(const Limits&) const = default;
};

/// What a rig or step says of its exposure; what it leaves out comes from the rig, then from the subject.
struct ExposureChoice {
  std::optional<Limits<exposure::Shutter>> shutter;
  std::optional<Limits<exposure::FNumber>> aperture;
  std::optional<Limits<exposure::Iso>> iso;
  ReadAt mark;
  bool operator==(const ExposureChoice&) const = default;
};

enum class BracketOrder {
  short_first,
  long_first,
  mirrored
};  // mirrored: short to long and back, the longest once

struct CentredBracket {  // {frames: 3, by: 1 stop}: around the exposure of the subject
  int frames = 3;
  Stops by{1};
  bool operator==(const CentredBracket&) const = default;
};
struct LadderBracket {  // {from: 1/2000, to: 2 s, by: 2 stops}
  exposure::Shutter from;
  exposure::Shutter to;
  Stops by{1};
  bool operator==(const LadderBracket&) const = default;
};
struct ListBracket {  // {shutters: [1/1000, 1/125, 1/15]}: taken in the order given
  std::vector<exposure::Shutter> shutters;
  bool operator==(const ListBracket&) const = default;
};
struct Bracket {
  std::variant<CentredBracket, LadderBracket, ListBracket> shape;
  BracketOrder order = BracketOrder::short_first;
  bool in_body = false;  // the body takes it by itself, at one release and in its own order
  ReadAt mark = {};
  bool operator==(const Bracket&) const = default;
};

/// One entry of `sets`: an exposure, a bracket, or both.
struct SetChoice {
  std::optional<ExposureChoice> exposure;
  std::optional<Bracket> bracket;
  ReadAt mark;
  bool operator==(const SetChoice&) const = default;
};

/// When the sets of a step are taken.
struct At {  // at: one instant or several
  std::vector<Instant> instants;
  bool operator==(const At&) const = default;
};
struct Every {  // from, until, every: the first set at `from`, none that would end in the last quarter second
  Instant from;
  Instant until;
  Duration period{};
  /// In mirrored steps only: the last set ends a quarter second before `until`, and none opens before `from`.
  bool counted_from_end = false;
  bool operator==(const Every&) const = default;
};
struct Spread {  // from, until, spread: N sets, the first at `from`, the last opening at `until` (one: in the
                 // middle)
  Instant from;
  Instant until;
  int count = 1;
  bool operator==(const Spread&) const = default;
};
struct BackToBack {  // from, until, every: back to back
  Instant from;
  Instant until;
  bool operator==(const BackToBack&) const = default;
};
using Pace = std::variant<At, Every, Spread, BackToBack>;

enum class Unfinished { keep, drop };

/// "only_if: totality >= 60 s"
struct OnlyIf {
  bool at_least = true;  // false: "<="
  Duration totality{};
  ReadAt mark;
  bool operator==(const OnlyIf&) const = default;
};

struct Shooting {
  exposure::Subject subject;
  ReadAt subject_mark;
  Pace pace;
  ReadAt pace_mark;
  body::Drive drive = body::Drive::single;
  ExposureChoice exposure;
  std::optional<Bracket> bracket;
  std::vector<SetChoice> sets;  // taken in turn; empty: one set made of exposure and bracket
  Unfinished unfinished = Unfinished::keep;
  std::optional<int> leave_free_frames;
  std::optional<Duration> patience;  // absent: 2 s; refused on back-to-back steps
  bool operator==(const Shooting&) const = default;
};

/// A person is at the rig: no frames, a cue asks for them.
struct HandsOn {
  Instant from;
  Instant until;
  std::string say;  // empty: the usual words
  std::optional<Duration> every =
      {};  // again and again from `from` on, done by `until`; none: all of the span
  Duration lasts = std::chrono::minutes{1};  // of each, where it comes again
  std::optional<Instant> aim = {};  // when the Sun is to stand in the middle of the frame; absent: see aiming
  bool counted_from_end = false;    // in mirrored steps only: the last one ends at `until`
  bool operator==(const HandsOn&) const = default;
};

/// The named step turned around mid-eclipse: C1<->C4, C2<->C3, signs turned, order reversed.
struct MirrorOf {
  std::string step;
  ReadAt mark;
  bool operator==(const MirrorOf&) const = default;
};

struct Step {
  std::string name;
  ReadAt mark;
  std::vector<std::string> rigs;  // names as written; empty for a mirror (it has its original's rigs)
  bool all_rigs = false;          // "rigs: all"
  ReadAt rigs_mark;
  std::variant<Shooting, HandsOn, MirrorOf> what;
  std::optional<OnlyIf> only_if;
  bool operator==(const Step&) const = default;
};

struct SimulatedBody {
  std::string profile;
  bool operator==(const SimulatedBody&) const = default;
};
struct CabledBody {
  std::string serial;
  std::string profile;
  std::string spare = {};  // serial number of a body that may take its place, by the same profile; or empty
  bool operator==(const CabledBody&) const = default;
};
struct ByHand {
  bool operator==(const ByHand&) const = default;
};

enum class Mount { fixed, tracking };

struct Filter {
  double density = 5.0;
  Instant opens;   // absent in the text: C2 - 30 s
  Instant closes;  // absent: C3 + 30 s
  Duration handling = std::chrono::seconds{8};
  std::string say_off;  // reworded cues; empty: the usual words
  std::string say_on;
  ReadAt mark;
  bool operator==(const Filter&) const = default;
};

struct Sensor {
  Millimetres width;
  Millimetres height;
  Micrometres pixel;
  bool operator==(const Sensor&) const = default;
};

struct Rig {
  std::string name;
  ReadAt mark;
  std::variant<SimulatedBody, CabledBody, ByHand> body;
  ReadAt body_mark;
  Millimetres focal_length;
  std::optional<Sensor> sensor;
  Mount mount = Mount::fixed;
  ExposureChoice exposure;
  body::Files files = body::Files::raw;
  std::optional<Filter> filter;  // absent: `filter: none`
  ReadAt filter_mark;
  bool sun_in_frame = true;  // false: `sun_in_frame: never`
  std::string person;        // whose hands are at it; empty: the one person's there is
  bool operator==(const Rig&) const = default;
};

struct SitePlace {
  Degrees latitude;
  Degrees longitude;
  Metres elevation;          // above mean sea level, or
  bool ellipsoidal = false;  // above the WGS84 ellipsoid (`ellipsoidal_height`)
  std::string zone;          // IANA name, for display; empty: UTC only
  ReadAt mark;
  std::optional<Metres> position_error{};   // horizontally, 95 % half-width
  std::optional<Metres> elevation_error{};  // of either height, 95 % half-width
  std::optional<Degrees> horizon{};         // what hides the Sun stands so high; absent: 0
  bool operator==(const SitePlace&) const = default;
};

/// What the air and the crescent take of the light, in exposures that noonfall computes.
struct SkyChoice {
  bool counted = true;  // false: `sky: none`
  std::optional<double>
      extinction;  // magnitudes per unit of air mass; absent: clear air at the site's elevation
  bool operator==(const SkyChoice&) const = default;
};

/// Of the sentences that come by themselves, and of the voice that says all words.
enum class Language { english, spanish, french, german };

struct VoiceChoice {
  Language language = Language::english;
  bool countdown = false;  // to second and third contact, where nothing else is said
  bool operator==(const VoiceChoice&) const = default;
};

struct Cue {
  Instant at;
  std::string say;
  ReadAt mark;
  bool operator==(const Cue&) const = default;
};

struct Plan {
  std::string title;
  Date eclipse;
  ReadAt eclipse_mark;
  SitePlace site;
  std::optional<Duration> dut1;
  SkyChoice sky;
  std::vector<Rig> rigs;
  std::vector<Step> steps;
  std::vector<Cue> cues;
  VoiceChoice voice;
  bool operator==(const Plan&) const = default;
};

}  // namespace noonfall::plan
