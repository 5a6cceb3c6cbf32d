// What one body says of itself before a run, and what of it would stop the run.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "lib/base/diagnostic.h"
#include "lib/base/units.h"
#include "lib/body/profile.h"
#include "lib/time/utc.h"

namespace noonfall::body {

/// A value, and the body's own words for it.
template <class T>
struct Said {
  T value{};
  std::string words;
  bool operator==(const Said&) const = default;
};

struct Card {
  Megabytes free;
  Megabytes capacity;
  bool read_only = false;
  bool operator==(const Card&) const = default;
};

enum class ExposureMode { manual, bulb, automatic };
enum class Focusing { by_hand, by_itself };
enum class DriveMode { single, continuous, other };  // other: self-timer, mirror up, quiet…
enum class SavedTo { card, memory };                 // memory: the body's own, lost when not fetched
enum class CardSlot { empty, holds_card };
/// What a body may do to frames behind a plan's back.
enum class Meddling { auto_iso, bracketing, exposure_delay, compensation };

/// Whether `TakenFrame::opened` is the body's word, or worked out by the host from its own release call.
enum class OpeningStamp { told, inferred };

/// What a body told of itself when it was asked. Empty is what it doesn't tell.
struct Description {
  std::string serial;
  std::string port;  // where it is now; changes with each plugging in
  std::string model;
  std::string family;  // "a", "b", "generic": which vendor extension it speaks; "simulated"
  std::optional<int> battery_percent;
  std::optional<CardSlot> slot;
  std::optional<Card> card;  // unless the slot is empty
  std::optional<SavedTo> saved_to;
  std::optional<Said<ExposureMode>> mode;
  std::optional<Said<Focusing>> focus;
  std::optional<Said<DriveMode>> drive;
  bool sets_drive = false;  // over the cable: where its dial stands doesn't matter
  std::optional<Said<Files>> files;
  std::optional<bool> live_view;
  std::optional<bool> mirror_lock_up;
  std::optional<bool> noise_reduction;   // a dark frame after each long exposure
  std::vector<Said<Meddling>> meddling;  // what is switched on
  std::optional<Duration> power_off;     // idle this long it switches itself off; zero: never
  bool stays_awake = false;              // where a run sets that itself
  std::optional<Duration> clock_offset;  // the body's clock minus the host's
  Choices choices;
  bool offers_burst = false;
  std::string why_no_release;  // why no frame can be taken; empty when one can
  std::string why_no_times;    // why exposure times can't be set, where that is known and matters
  OpeningStamp opening = OpeningStamp::inferred;
  bool operator==(const Description&) const = default;
};

/// What a run will ask of the body, as far as it is known.
struct Demand {
  std::optional<Files> files;
  Megabytes room;  // zero: not known
  bool operator==(const Demand&) const = default;
};

/// What would stop a run (errors) or might (warnings), in the order to look at them; without places. `hint`
/// says what to set.
[[nodiscard]] Diagnostics obstacles(const Description& told, const Demand& demand = {});

/// What a person has to look up on the body because it doesn't tell: "the mode dial", "manual focus".
[[nodiscard]] std::vector<std::string> untold(const Description& told);

[[nodiscard]] std::string_view to_text(ExposureMode mode);
[[nodiscard]] std::string_view to_text(Focusing focus);
[[nodiscard]] std::string_view to_text(DriveMode drive);
[[nodiscard]] std::string_view to_text(SavedTo place);
[[nodiscard]] std::string_view to_text(Meddling meddling);

}  // namespace noonfall::body
