// The lines of a shot log as values: what was asked of the bodies, what they answered, what was said and why.
// docs/shot-log-format.md is the same for readers of the file.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "lib/contacts/contact.h"
#include "lib/exposure/exposure.h"
#include "lib/ladder/ladder.h"
#include "lib/order/order.h"
#include "lib/shotlog/command.h"
#include "lib/time/boot_clock.h"
#include "lib/time/utc.h"

namespace noonfall::shotlog {

/// Logs of the versions from the oldest to ours are read; ours are written.
inline constexpr int format_version = 2;
inline constexpr int oldest_version = 1;

enum class Mode { event, dress, simulated };
[[nodiscard]] std::string_view to_text(Mode mode);

/// How far the clock can be trusted: A within 20 ms, B 100 ms, C 500 ms, F unknown.
enum class ClockGrade { a, b, c, f };
[[nodiscard]] std::string_view to_text(ClockGrade grade);

struct ClockState {
  ClockGrade grade = ClockGrade::f;
  Duration bound{};  // zero at grade F
  bool operator==(const ClockState&) const = default;
};

/// What the plan asked of one step on one rig, so that a report needs the log alone.
struct PlannedStep {
  std::string step;
  int plan_line = 0;
  std::string subject;
  bool filtered = true;
  bool back_to_back = false;
  Utc from;  // the first set's instant; back to back the earliest
  Utc until;
  int sets = 0;                          // for back-to-back steps what the profile predicts
  int frames = 0;                        // of all sets
  int frames_per_set = 0;                // of the first set
  std::vector<int> frames_in_turn = {};  // of each set, in turn, where they differ
  bool operator==(const PlannedStep&) const = default;
};

struct PlannedWindow {
  Utc opens;
  Utc usable_from;
  Utc usable_until;
  Utc closes;
  bool operator==(const PlannedWindow&) const = default;
};

/// What the frames of a rig's ladders of the corona are to be worth, and by which light: a report weighs by
/// it those that were taken.
struct PlannedCorona {
  ladder::Optics light;
  std::vector<ladder::Signal> signals;
  bool operator==(const PlannedCorona&) const = default;
};

struct PlannedRig {
  std::string rig;
  std::string body;  // the profile's name; empty by hand
  std::string profile_hash = {};
  std::optional<PlannedWindow> window = {};
  std::vector<PlannedStep> steps = {};
  std::string serial = {};  // of the body, as its files have it; empty where that isn't known
  std::optional<PlannedCorona> corona = {};
  bool operator==(const PlannedRig&) const = default;
};

struct NamedContact {
  contacts::ContactName name = contacts::ContactName::c1;
  Utc utc;
  Duration uncertainty{};
  bool operator==(const NamedContact&) const = default;
};

/// What the run was given. No fact of the host is among it. The first line; an amendment brings another.
struct Header {
  Mode mode = Mode::simulated;
  std::string title;
  std::string plan_hash;              // SHA-256 of the plan file's bytes
  std::optional<std::uint64_t> seed;  // of simulated bodies
  Date eclipse{};
  contacts::Kind kind = contacts::Kind::none;
  contacts::Site site;
  std::string zone;
  std::string limb = "mean";
  double solar_radius_arcsec = 0;
  Duration dut1{};
  Duration delta_t{};
  Duration moved{};  // what the contacts, and everything with them, were moved by for a rehearsal
  std::vector<NamedContact> contacts;
  std::vector<PlannedRig> rigs;
  bool operator==(const Header&) const = default;
};

/// Which frame, by the names a person knows; set and frame count from 1.
struct FrameName {
  std::string rig;
  std::string step;
  std::int32_t set = 0;
  std::int32_t frame = 0;
  auto operator<=>(const FrameName&) const = default;
};

/// Written before the order goes out: from here on the frame may have been taken.
struct Intent {
  FrameName frame;
  std::int64_t order = 0;
  Utc due;
  Utc latest;
  exposure::Exposure exposure;
  bool operator==(const Intent&) const = default;
};

/// The last word on an intended frame: fired, failed, unknown or cancelled.
struct FrameOutcome {
  FrameName frame;
  order::Outcome result = order::Outcome::fired;
  Utc due;
  std::optional<Utc> opened = {};    // when fired
  exposure::Exposure exposure = {};  // as the body had it
  std::vector<std::string> files = {};
  std::string why = {};
  bool operator==(const FrameOutcome&) const = default;
};

/// Why something wasn't asked of the body.
enum class SkipReason {
  other,      // as its line says
  late,       // its time had passed
  held,       // by the operator, who held the rig
  skipped,    // by the operator, who skipped the step
  stopped,    // by the operator
  no_filter,  // the camera filter wasn't known to be on
  no_room,    // in the body's buffer
  refused,    // by the body, again and again
  step_over,  // of the last set of a back-to-back step, whose time was over: as it should be
  not_here,   // the sky at the site has no room for the step: it was left out from the start
};
[[nodiscard]] std::string_view to_text(SkipReason reason);
/// For a person: "the rig was held". Empty for those that only the line knows.
[[nodiscard]] std::string sentence(SkipReason reason);

/// A frame that wasn't asked of the body; with set and frame 0, a whole step.
struct Skip {
  FrameName frame;
  std::optional<Utc> due;
  SkipReason reason = SkipReason::other;
  std::string why = {};  // what the reason doesn't say
  bool operator==(const Skip&) const = default;
};
[[nodiscard]] std::string why_of(const Skip& skip);

/// Which camera filter words are about.
struct FilterCue {
  std::string rig;
  FilterState leaves = FilterState::unknown;  // what it is taken to be once they were spoken in full
  bool late = false;  // it must go back on and nobody was told in time: an alarm until it is on
  bool operator==(const FilterCue&) const = default;
};

struct CueLine {
  std::string words;
  Utc ends;
  std::string why = {};                            // why it was not given; empty when it was
  std::optional<FilterCue> filter = std::nullopt;  // none for other words, and in an older log
  bool printed = false;                            // on the screen alone: nobody spoke it
  bool operator==(const CueLine&) const = default;
};
struct FilterChange {
  std::string rig;
  FilterState state = FilterState::unknown;
  bool confirmed = false;  // by a person; otherwise assumed, from words spoken in full
  std::string why;
  bool operator==(const FilterChange&) const = default;
};

/// A body went away, came back, or did something a person should know.
struct BodyNews {
  std::string rig;
  bool ready = false;
  std::string why;
  bool operator==(const BodyNews&) const = default;
};

/// The four Linux clocks of the host at one instant: what they did meanwhile shows between two of these.
/// BOOTTIME, MONOTONIC and REALTIME are slewed together; only REALTIME is ever set; only BOOTTIME goes on
/// while the machine sleeps; MONOTONIC_RAW is the bare oscillator.
struct ClockReadings {
  BootTime boot;
  Utc realtime;
  Duration monotonic{};
  Duration raw{};
  bool operator==(const ClockReadings&) const = default;
};

/// Which UTC the host's boot clock stood for: a later start on the same boot goes on by it.
struct ClockStamp {
  std::string boot_id;
  ClockMapping mapping;
  std::optional<ClockReadings> readings = std::nullopt;  // none in a log of before there were any
  bool operator==(const ClockStamp&) const = default;
};

struct ClockLine {
  std::string why;  // with the line's clock state: what changed
  std::optional<ClockStamp> stamp = std::nullopt;
  bool operator==(const ClockLine&) const = default;
};

struct CommandLine {
  Command command;
  std::string why = {};  // why it wasn't carried out; empty when it was
  bool operator==(const CommandLine&) const = default;
};

/// What a small picture of a filtered frame told, when it was another thing than the one before.
struct Look {
  std::string rig;
  std::string words;
  bool hands = false;          // somebody has to go there
  std::optional<double> trim;  // stops: proposed; only the operator's command does it
  bool operator==(const Look&) const = default;
};

/// From here on the run follows another plan.
struct Amendment {
  Header header;
  std::string why;
  bool operator==(const Amendment&) const = default;
};

/// How a run ends: its plan was carried out, or the operator cut it short, and it may go on.
enum class RunEnd { done, stopped };
[[nodiscard]] std::string_view to_text(RunEnd how);
/// For a person: "the plan is done".
[[nodiscard]] std::string_view sentence(RunEnd how);

struct Ended {
  RunEnd how = RunEnd::done;
  bool operator==(const Ended&) const = default;
};

/// Anything else; a line of a kind that a later version has is read as one.
struct Note {
  std::string words;
  bool operator==(const Note&) const = default;
};

using Entry = std::variant<Header, Intent, FrameOutcome, Skip, CueLine, FilterChange, BodyNews, ClockLine,
                           CommandLine, Amendment, Ended, Note, Look>;

/// The word in the line's "kind".
inline constexpr std::array<std::string_view, std::variant_size_v<Entry>> kinds{
    "header", "intent",  "outcome",   "skip",  "cue",  "filter", "fault",
    "clock",  "command", "amendment", "ended", "note", "look"};
[[nodiscard]] inline std::string_view kind_of(const Entry& entry) {
  return kinds[entry.index()];
}

struct Line {
  std::int64_t seq = 0;  // from 1, rising by one
  Utc utc;               // when the core decided it
  ClockState clock;
  Entry entry;
  bool operator==(const Line&) const = default;
};

}  // namespace noonfall::shotlog
