#include "daemon/status/status_lines.h"

#include <fmt/format.h>

#include "daemon/status/columns.h"
#include "lib/base/plain_text.h"
#include "lib/time/utc_text.h"

namespace noonfall::status {
namespace {

using shotlog::FilterState;

constexpr std::size_t most_full_rigs = 4;
constexpr std::size_t most_rigs = 8;
constexpr std::size_t name_width = 12;
constexpr std::size_t body_width = 9;
constexpr std::size_t filter_width = 22;

/// As a clock shows it: the second that has begun.
std::string clock_text(Utc instant) {
  return to_clock_text(std::chrono::floor<std::chrono::seconds>(instant), 0);
}

std::string now_words(const StatusFacts& facts) {
  auto words = clock_text(facts.now) + " UTC";
  const auto local = facts.local_clock.substr(0, facts.local_clock.find('.'));
  if (!local.empty()) words += fmt::format("   {} {}", local, facts.zone);
  return words;
}

std::string contact_words(const StatusFacts& facts) {
  if (!facts.next_contact) return "no contact is left";
  const auto& next = *facts.next_contact;
  return fmt::format("{} {}, {} UTC", contacts::to_text(next.name), countdown(next.utc - facts.now),
                     clock_text(next.utc));
}

std::string_view word_of(BodyState state) {
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

std::string filter_words(const RigStatus& rig) {
  if (!rig.filter) return "no filter";
  if (*rig.filter == FilterState::unknown) return "filter UNKNOWN";
  return fmt::format("filter {}, {}", filter_word(*rig.filter),
                     rig.filter_confirmed ? "confirmed" : "assumed");
}

std::string next_words(const RigStatus& rig, Utc now) {
  if (!rig.next_due) return "no frame is left";
  return fmt::format("{}: {}", countdown(*rig.next_due - now), rig.next_step);
}

/// What a person there most needs to know.
std::string doing_words(const RigStatus& rig, Utc now) {
  if (!rig.hands.empty()) return fmt::format("HANDS ON: {}", rig.hands);
  if (rig.body == BodyState::held) return "no frame until it is resumed";
  if (!rig.step.empty() && rig.back_to_back) return fmt::format("{}, back to back", rig.step);
  return next_words(rig, now);
}

std::string count_words(const RigStatus& rig) {
  const auto& n = rig.frames;
  return fmt::format("{} of {} fired, {} failed, {} skipped, {} unknown", n.fired, rig.planned, n.failed,
                     n.skipped + n.cancelled, n.unknown);
}

std::string short_count_words(const RigStatus& rig) {
  const auto& n = rig.frames;
  return fmt::format("{}/{} fired, {} not, {} unknown", n.fired, rig.planned,
                     n.failed + n.skipped + n.cancelled, n.unknown);
}

std::string rig_line(const RigStatus& rig, std::string_view end) {
  return fmt::format("{} {} {} {}", padded(rig.rig, name_width), padded(word_of(rig.body), body_width),
                     padded(filter_words(rig), filter_width), end);
}

void add_rigs(const StatusFacts& facts, std::vector<std::string>& out) {
  const bool full = facts.rigs.size() <= most_full_rigs;
  const auto shown = facts.rigs.size() <= most_rigs ? facts.rigs.size() : most_rigs - 1;
  for (std::size_t n = 0; n < shown; ++n) {
    const auto& rig = facts.rigs[n];
    const bool away = rig.body == BodyState::away;
    if (!full) {
      out.push_back(rig_line(rig, away ? rig.why : short_count_words(rig)));
      continue;
    }
    out.push_back(rig_line(rig, away ? short_count_words(rig) : doing_words(rig, facts.now)));
    out.push_back(fmt::format("{} {}", padded("", name_width), away ? rig.why : count_words(rig)));
  }
  if (shown < facts.rigs.size()) out.push_back(fmt::format("and {} more rigs", facts.rigs.size() - shown));
}

std::string alarm_line(const StatusFacts& facts) {
  if (!facts.alarm) return "no alarm";
  return fmt::format("ALARM {} UTC {}", clock_text(facts.alarm->at), facts.alarm->words);
}

}  // namespace

std::string_view filter_word(shotlog::FilterState state) {
  if (state == FilterState::unknown) return "UNKNOWN";
  return state == FilterState::on ? "ON" : "OFF";
}

std::string countdown(Duration left) {
  using namespace std::chrono;
  const auto whole = ceil<seconds>(left).count();
  if (whole <= 0) return "now";
  if (whole < 60) return fmt::format("in {} s", whole);
  if (whole < 3600) return fmt::format("in {} min {:02} s", whole / 60, whole % 60);
  return fmt::format("in {} h {:02} min", whole / 3600, whole % 3600 / 60);
}

std::string mode_words(shotlog::Mode mode, double speed) {
  std::string words = "FOR REAL";
  if (mode == shotlog::Mode::dress) words = "DRESS REHEARSAL: keep the camera filter on";
  if (mode == shotlog::Mode::simulated) words = "SIMULATED: keep the camera filter on";
  if (speed != 1) words += fmt::format(", {:g} times as fast", speed);
  return words;
}

std::string clock_words(const shotlog::ClockState& clock) {
  if (clock.grade == shotlog::ClockGrade::f) return "clock F: not verified, operator decides";
  return fmt::format("clock {}, within {:.3g} ms", shotlog::to_text(clock.grade),
                     in_milliseconds(clock.bound));
}

std::vector<std::string> lines(const StatusFacts& facts) {
  const auto source = facts.clock_source.empty() ? "" : "  (" + facts.clock_source + ")";
  std::vector<std::string> out{spread(now_words(facts), contact_words(facts), status_width),
                               spread(mode_words(facts.mode, facts.speed), facts.title, status_width),
                               clock_words(facts.clock) + source};
  add_rigs(facts, out);
  out.push_back(alarm_line(facts));
  for (auto& line : out) {
    line = fitted(plain_line(line), status_width);
    line.erase(line.find_last_not_of(' ') + 1);
  }
  return out;
}

}  // namespace noonfall::status
