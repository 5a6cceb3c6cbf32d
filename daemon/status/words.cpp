#include "daemon/status/words.h"

#include <cmath>

#include <fmt/format.h>

#include "lib/time/utc_text.h"

namespace noonfall::status {

using shotlog::ClockGrade;
using shotlog::FilterState;

std::string countdown(Duration left) {
  using namespace std::chrono;
  const auto whole = ceil<seconds>(left).count();
  if (whole <= 0) return "now";
  if (whole < 60) return fmt::format("in {} s", whole);
  if (whole < 3600) return fmt::format("in {} min {:02} s", whole / 60, whole % 60);
  return fmt::format("in {} h {:02} min", whole / 3600, whole % 3600 / 60);
}

std::string clock_text(Utc instant) {
  return to_clock_text(std::chrono::floor<std::chrono::seconds>(instant), 0);
}

std::string_view filter_word(FilterState state) {
  if (state == FilterState::unknown) return "UNKNOWN";
  return state == FilterState::on ? "ON" : "OFF";
}

std::string filter_words(const RigStatus& rig) {
  if (!rig.filter) return "no filter";
  if (*rig.filter == FilterState::unknown) return "filter UNKNOWN";
  return fmt::format("filter {}, {}", filter_word(*rig.filter),
                     rig.filter_confirmed ? "confirmed" : "assumed");
}

std::string_view body_word(BodyState state) {
  switch (state) {
    case BodyState::by_hand:
      return "by hand";
    case BodyState::starting:
      return "starting";
    case BodyState::ready:
      return "ready";
    case BodyState::held:
      return "HELD";
    case BodyState::away:
      return "AWAY";
  }
  return "";
}

std::string doing_words(const RigStatus& rig, Utc now) {
  if (!rig.hands.empty()) return fmt::format("HANDS ON: {}", rig.hands);
  if (rig.body == BodyState::held) return "no frame until it is resumed";
  if (!rig.step.empty() && rig.back_to_back) return fmt::format("{}, back to back", rig.step);
  if (!rig.next_due) return "no frame is left";
  return fmt::format("{}: {}", countdown(*rig.next_due - now), rig.next_step);
}

std::string count_words(const RigStatus& rig) {
  const auto& n = rig.frames;
  const auto not_fired = n.failed + n.skipped + n.cancelled;
  auto words = fmt::format("{}/{} fired", n.fired, rig.planned);
  if (not_fired > 0) words += fmt::format(", {} not", not_fired);
  if (n.unknown > 0) words += fmt::format(", {} unknown", n.unknown);
  return words;
}

std::string trim_words(double stops) {
  return std::abs(stops) < 0.01 ? std::string{} : fmt::format("{:+.3g}", std::round(stops * 100) / 100);
}

std::string late_words(Duration late) {
  const auto ms = std::chrono::round<std::chrono::milliseconds>(late).count();
  return fmt::format("{} ms {}", std::abs(ms), ms < 0 ? "early" : "late");
}

std::string mode_words(shotlog::Mode mode, double speed) {
  std::string words = "FOR REAL";
  if (mode == shotlog::Mode::dress) words = "DRESS REHEARSAL: keep the camera filter on";
  if (mode == shotlog::Mode::simulated) words = "SIMULATED: keep the camera filter on";
  if (speed != 1) words += fmt::format(", {:g} times as fast", speed);
  return words;
}

std::string clock_words(const shotlog::ClockState& clock) {
  if (clock.grade == ClockGrade::f) return "clock F: not verified, operator decides";
  return fmt::format("clock {}, within {:.3g} ms", shotlog::to_text(clock.grade),
                     in_milliseconds(clock.bound));
}

std::string_view clock_remedy(ClockGrade grade) {
  switch (grade) {
    case ClockGrade::a:
      return {};
    case ClockGrade::b:
      return "Good enough for all but the first bead; a GPS receiver makes it better.";
    case ClockGrade::c:
      return "Half a second may be missing: connect a GPS receiver or network time.";
    case ClockGrade::f:
      break;
  }
  return "Connect a GPS receiver or network time, or compare it with a good clock: clock ok.";
}

}  // namespace noonfall::status
