// How a run stands at one instant: the one value that the live view and the page show.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "lib/contacts/contact.h"
#include "lib/contacts/sky_track.h"
#include "lib/exposure/exposure.h"
#include "lib/rig/camera.h"
#include "lib/shotlog/account.h"
#include "lib/time/utc.h"

namespace noonfall::status {

enum class BodyState { by_hand, starting, ready, held, away };

/// One rig's lane.
struct RigStatus {
  std::string rig;
  BodyState body = BodyState::starting;
  std::string why;                                 // it is away; else empty
  std::optional<shotlog::FilterState> filter;      // none: the rig has no filter
  bool filter_confirmed = false;                   // by a person
  std::string step;                                // going on; empty for none
  bool back_to_back = false;                       // so is its pace
  std::string hands;                               // hands-on step going on; empty for none
  std::string next_step;                           // of the next frame
  std::optional<Utc> next_due;                     // that frame's instant
  std::vector<exposure::Exposure> next_exposures;  // of its set, as planned: without the trim
  std::optional<exposure::Exposure> exposure;      // of the frame asked for last whose time has come
  double trim = 0;                                 // stops
  std::optional<Duration> late;                    // how late the last fired frame opened
  int planned = 0;                                 // frames; back to back, by the profile
  shotlog::Tally frames;
  rig::Levels levels;
  std::string looks;                           // what the newest small picture told; empty: none yet
  std::optional<double> proposed_trim;         // by it, stops; only the operator's command does it
  std::shared_ptr<const std::string> picture;  // that one, a JPEG; none yet
  Utc picture_of;                              // its frame's opening
};

struct NamedInstant {
  contacts::ContactName name = contacts::ContactName::c1;
  Utc utc;
  bool operator==(const NamedInstant&) const = default;
};

struct Alarm {
  Utc at;
  std::string words;
  bool operator==(const Alarm&) const = default;
};

/// Words that end then, or hands that are wanted from then on.
struct Call {
  Utc at;
  std::string words;
  bool operator==(const Call&) const = default;
};

struct Totality {
  Duration elapsed{};
  Duration total{};
  bool operator==(const Totality&) const = default;
};

struct StatusFacts {
  Utc now;
  std::string local_clock;  // "10:41:12", a fraction isn't shown; empty for UTC alone
  std::string zone;
  std::string title;
  shotlog::Mode mode = shotlog::Mode::event;
  double speed = 1;
  shotlog::ClockState clock;
  std::string clock_source;                  // "chronyd"; may be empty
  std::vector<NamedInstant> contacts;        // those that happen, in turn
  std::optional<NamedInstant> next_contact;  // in totality C3
  Duration totality{};                       // C3 - C2; zero where it isn't total
  std::optional<Totality> in_totality;       // now
  std::optional<Call> next;                  // words or hands
  std::optional<Call> hands;                 // when a person is needed next; in the past: now
  std::optional<Call> last;                  // the newest words that were given
  std::optional<contacts::MoonPlace> moon;   // before the Sun
  std::vector<RigStatus> rigs;
  std::vector<Alarm> alarms;  // that aren't over: filters off the lens, then the newest first
};

}  // namespace noonfall::status
