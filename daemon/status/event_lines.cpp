#include "daemon/status/event_lines.h"

#include <fmt/format.h>

#include "daemon/status/words.h"
#include "lib/base/match.h"
#include "lib/base/plain_text.h"

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

std::string text_of(const shotlog::BodyNews& fault) {
  if (!fault.ready) return with_why("ALARM " + fault.rig + ": AWAY", fault.why);
  return fmt::format("{}: {}", fault.rig, fault.why.empty() ? "ready" : fault.why);
}

std::string text_of(const shotlog::CommandLine& command) {
  const auto said = shotlog::to_text(command.command);
  return command.why.empty() ? "command: " + said : fmt::format("command refused: {}: {}", said, command.why);
}

std::string named(const shotlog::FrameName& frame) {
  return fmt::format("{}: {}", frame.rig, frame.step);
}

std::string numbered(const shotlog::FrameName& frame) {
  return fmt::format("{}.{}", frame.set, frame.frame);
}

std::string without_numbers(std::string text) {
  std::erase_if(text, [](char c) { return c == '.' || (c >= '0' && c <= '9'); });
  return text;
}

Event said(std::string words) {
  return {.at = {}, .who = std::move(words), .which = {}, .what = {}};
}

}  // namespace

std::string to_text(const Event& event) {
  auto words = clock_text(event.at) + " UTC " + event.who;
  for (const auto& part : {event.which, event.what}) words += (part.empty() ? "" : " ") + part;
  return plain_line(words);
}

std::string to_text(const Event& event, int times) {
  if (times == 1) return to_text(event);
  const auto words = event.what.empty() ? fmt::format("{} ({} times)", event.who, times)
                                        : fmt::format("{}, {} {}", event.who, times, event.what);
  return plain_line(fmt::format("{} UTC {}", clock_text(event.at), words));
}

bool alike(const Event& a, const Event& b) {
  return without_numbers(a.who) == without_numbers(b.who) &&
         without_numbers(a.what) == without_numbers(b.what);
}

Event alarm_event(Utc at, const std::string& words) {
  auto event = said("ALARM " + words);
  event.at = at;
  return event;
}

bool EventLines::first(const shotlog::FrameName& frame, const std::string& what) {
  return told_.emplace(frame.rig, frame.step, what).second;
}

Event EventLines::event_of(const shotlog::Header& header) {
  totality_ = header.kind == contacts::Kind::total;
  return said(fmt::format("{}: {}", header.title, mode_words(header.mode, 1)));
}

Event EventLines::event_of(const shotlog::Amendment& amendment) {
  totality_ = amendment.header.kind == contacts::Kind::total;
  return said("amended: " + amendment.why);
}

Event EventLines::event_of(const shotlog::Intent& intent) {
  return first(intent.frame, "begins") ? said(named(intent.frame) + " begins") : Event{};
}

Event EventLines::event_of(const shotlog::FrameOutcome& outcome) {
  if (outcome.result == order::Outcome::fired) return {};
  const auto result = std::string{order::to_text(outcome.result)};
  const auto& frame = outcome.frame;
  return {.who = named(frame),
          .which = numbered(frame),
          .what = with_why(result, outcome.why),
          .new_kind = first(frame, result)};
}

Event EventLines::event_of(const shotlog::Skip& skip) {
  const auto& frame = skip.frame;
  if (skip.reason == shotlog::SkipReason::step_over) return {};
  const bool is_new = first(frame, "skipped");
  if (frame.set > 0)
    return {.who = named(frame),
            .which = numbered(frame),
            .what = with_why("skipped", why_of(skip)),
            .new_kind = is_new};
  const auto* alarm = alarms(skip, totality_) ? "ALARM " : "";
  return {.who = with_why(fmt::format("{}{} is left out", alarm, named(frame)), why_of(skip)),
          .new_kind = is_new};
}

bool alarms(const shotlog::Skip& skip, bool totality) {
  return skip.reason == shotlog::SkipReason::not_here && !totality;
}

std::optional<Event> EventLines::take(const shotlog::Line& line) {
  auto event = std::visit(
      Match{
          [this](const shotlog::Header& header) { return event_of(header); },
          [this](const shotlog::Intent& intent) { return event_of(intent); },
          [this](const shotlog::FrameOutcome& outcome) { return event_of(outcome); },
          [this](const shotlog::Skip& skip) { return event_of(skip); },
          [this](const shotlog::Amendment& amendment) { return event_of(amendment); },
          [&](const shotlog::ClockLine& clock) { return said(with_why(clock_words(line.clock), clock.why)); },
          [](const shotlog::Ended& end) { return said(std::string{sentence(end.how)}); },
          [](const shotlog::Note& note) { return said(note.words); },
          [](const shotlog::Look& look) { return said(fmt::format("{}: {}", look.rig, look.words)); },
          [](const auto& entry) { return said(text_of(entry)); }},
      line.entry);
  if (event.who.empty()) return std::nullopt;
  event.at = line.utc;
  return event;
}

}  // namespace noonfall::status
