#include <array>

#include <fmt/format.h>

#include "lib/base/nearest_word.h"
#include "lib/plan/parse_parts.h"
#include "lib/yaml/typed.h"

namespace noonfall::plan {
namespace {

using namespace std::chrono_literals;

constexpr yaml::Choice<body::Drive> drives[] = {{"single", body::Drive::single},
                                                {"continuous", body::Drive::continuous}};
constexpr yaml::Choice<Unfinished> unfinished_words[] = {{"keep", Unfinished::keep},
                                                         {"drop", Unfinished::drop}};

exposure::Subject read_subject(const yaml::Field& field) {
  constexpr std::array<std::string_view, 7> words{"photosphere", "diamond ring", "beads",    "chromosphere",
                                                  "prominences", "earthshine",   "landscape"};
  const std::string all =
      "photosphere, diamond ring, beads, chromosphere, prominences, corona H or corona H to H (solar radii "
      "from 0.05 "
      "to 20), earthshine or landscape";
  const auto text = yaml::read_text(field, all);
  if (!text) return {};
  if (const auto subject = exposure::parse_subject(*text)) return *subject;
  const auto nearest = text->starts_with("corona") ? std::string{} : nearest_word(*text, words);
  yaml::refuse_text(field, *text, nearest.empty() ? all : nearest);
  return {};
}

/// "12 frames"
std::optional<int> read_frames(const yaml::Field& field) {
  constexpr const char* wanted = "a number of frames from 1 to 10000, like 12 frames";
  const auto text = yaml::read_text(field, wanted);
  const auto unit = text && text->ends_with("frame") ? "frame" : "frames";
  const auto frames = yaml::read_quantity(field, unit, {1, 10'000}, wanted);
  if (!text || !frames) return std::nullopt;
  const auto whole = static_cast<int>(*frames);
  if (whole == *frames) return whole;
  yaml::refuse_text(field, *text, wanted);
  return std::nullopt;
}

bool is_back_to_back(const std::optional<Pace>& pace) {
  return pace && std::holds_alternative<BackToBack>(*pace);
}

/// What can't stand together, each at its own place.
void check_together(const Shooting& shooting, const std::optional<Pace>& pace, const yaml::Field& drive,
                    const yaml::Field& patience, const yaml::Field& sets) {
  if (is_back_to_back(pace)) {
    patience.error(
        "patience-back-to-back",
        "no frame of a back-to-back step has a due time it could be late for, so patience means nothing",
        "no patience here; from and until bound the step");
  }
  if (sets && shooting.bracket) {
    sets.error("sets-and-bracket", "sets beside a bracket", "the bracket as an entry of sets");
  }
  if (shooting.drive != body::Drive::continuous) return;
  if (shooting.bracket || sets) {
    drive.error("burst-bracket", "the body's own burst takes one exposure, a bracket or sets more than one",
                "drive: single, or no bracket and no sets");
  }
  if (pace && !is_back_to_back(pace)) {
    drive.error("burst-pace", "the body's own burst runs on until it is stopped", "every: back to back");
  }
}

}  // namespace

Shooting read_shooting(yaml::MapReader& map, Diagnostics& findings) {
  Shooting shooting;
  const auto subject = map.required("subject");
  shooting.subject_mark = subject.mark();
  shooting.subject = read_subject(subject);

  auto pace = read_pace(map, findings);
  const auto pace_key = map.has("at") ? "at" : map.has("every") ? "every" : "spread";
  shooting.pace_mark = map.optional(pace_key).mark();

  const auto drive = map.optional("drive");
  shooting.drive = yaml::read_choice(drive, drives).value_or(body::Drive::single);
  shooting.exposure = read_exposure(map.optional("exposure"));
  shooting.bracket = read_bracket(map.optional("bracket"));
  const bool in_body = shooting.bracket && shooting.bracket->in_body;
  if (in_body && shooting.drive == body::Drive::single) shooting.drive = body::Drive::bracket;
  const auto sets = map.optional("sets");
  shooting.sets = read_sets(sets);
  shooting.unfinished =
      yaml::read_choice(map.optional("unfinished"), unfinished_words).value_or(Unfinished::keep);
  shooting.leave_free_frames = read_frames(map.optional("leave_free"));
  const auto patience = map.optional("patience");
  shooting.patience = read_span(patience, {0s, 10min}, "a duration up to 10 min, like 2 s");

  check_together(shooting, pace, drive, patience, sets);
  refuse_shutter_twice(shooting.exposure, shooting.bracket, findings);
  if (pace) shooting.pace = std::move(*pace);
  return shooting;
}

}  // namespace noonfall::plan
