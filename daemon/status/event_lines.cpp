#include "daemon/status/event_lines.h"

#include <fmt/format.h>

#include "daemon/status/status_lines.h"
#include "lib/base/match.h"
#include "lib/base/plain_text.h"
#include "lib/time/utc_text.h"

namespace noonfall::status {
namespace {

std::string with_why(std::string words, const std::string& why) {
  return why.empty() ? words : fmt::format("{}: {}", words, why);
}

std::string text_of(const shotlog::CueLine& cue) {
  if (!cue.why.empty()) return fmt::format("\"{}\" {}", cue.words, cue.why);
  return fmt::format("{}{}: {}", cue.filter && cue.filter->late ? "ALARM " : "", cue.printed ? "cue" : "says",
                     cue.words);
}

std::string text_of(const shotlog::FilterChange& change) {
  return with_why(fmt::format("{}: camera filter {}, {}", change.rig, filter_word(change.state),
                              change.confirmed ? "confirmed" : "assumed"),
                  change.why);
}

std::string text_of(const shotlog::Fault& fault) {
  if (!fault.ready) return with_why("ALARM " + fault.rig + ": AWAY", fault.why);
  return fmt::format("{}: {}", fault.rig, fault.why.empty() ? "ready" : fault.why);
}

std::string text_of(const shotlog::CommandLine& command) {
  const auto said = shotlog::to_text(command.command);
  return command.why.empty() ? "command: " + said : fmt::format("command refused: {}: {}", said, command.why);
}

std::string at_time(Utc at, const std::string& words) {
  return fmt::format("{} UTC {}", to_clock_text(at, 0), plain_line(words));
}

}  // namespace

std::string alarm_line(Utc at, const std::string& words) {
  return at_time(at, "ALARM " + words);
}

bool EventLines::first(const shotlog::FrameName& frame, const std::string& what) {
  return told_.emplace(frame.rig, frame.step, what).second;
}

std::string EventLines::text_of(const shotlog::Header& header) {
  totality_ = header.kind == contacts::Kind::total;
  return fmt::format("{}: {}", header.title, mode_words(header.mode, 1));
}

std::string EventLines::text_of(const shotlog::Amendment& amendment) {
  totality_ = amendment.header.kind == contacts::Kind::total;
  return "amended: " + amendment.why;
}

std::string EventLines::text_of(const shotlog::Intent& intent) {
  if (!first(intent.frame, "begins")) return {};
  return fmt::format("{}: {} begins", intent.frame.rig, intent.frame.step);
}

std::string EventLines::text_of(const shotlog::Outcome& outcome) {
  const auto result = std::string{order::to_text(outcome.result)};
  const bool fine = outcome.result == order::Outcome::fired;
  if (fine || !first(outcome.frame, result)) return {};
  const auto& frame = outcome.frame;
  return with_why(fmt::format("{}: {} {}.{} {}", frame.rig, frame.step, frame.set, frame.frame, result),
                  outcome.why);
}

std::string EventLines::text_of(const shotlog::Skip& skip) {
  const auto& frame = skip.frame;
  if (skip.reason == shotlog::SkipReason::step_over || !first(frame, "skipped")) return {};
  if (frame.set == 0) {
    const auto* alarm = alarms(skip, totality_) ? "ALARM " : "";
    return with_why(fmt::format("{}{}: {} is left out", alarm, frame.rig, frame.step), why_of(skip));
  }
  return with_why(fmt::format("{}: {} {}.{} skipped", frame.rig, frame.step, frame.set, frame.frame),
                  why_of(skip));
}

bool alarms(const shotlog::Skip& skip, bool totality) {
  return skip.reason == shotlog::SkipReason::not_here && !totality;
}

std::optional<std::string> EventLines::take(const shotlog::Line& line) {
  const auto told = std::visit(
      Match{[this](const shotlog::Header& header) { return text_of(header); },
            [this](const shotlog::Intent& intent) { return text_of(intent); },
            [this](const shotlog::Outcome& outcome) { return text_of(outcome); },
            [this](const shotlog::Skip& skip) { return text_of(skip); },
            [this](const shotlog::Amendment& amendment) { return text_of(amendment); },
            [&](const shotlog::ClockLine& clock) { return with_why(clock_words(line.clock), clock.why); },
            [](const shotlog::Ended& end) { return std::string{sentence(end.how)}; },
            [](const shotlog::Note& note) { return note.words; },
            [](const auto& entry) { return status::text_of(entry); }},
      line.entry);
  if (told.empty()) return std::nullopt;
  return at_time(line.utc, told);
}

}  // namespace noonfall::status
