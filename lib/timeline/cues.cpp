#include "lib/timeline/cues.h"

#include <algorithm>
#include <set>

#include <fmt/format.h>

#include "lib/plan/resolve.h"
#include "lib/plan/spoken_words.h"
#include "lib/timeline/left_out.h"
#include "lib/timeline/relative_text.h"
#include "lib/timeline/sentences.h"

namespace noonfall::timeline {
namespace {

using namespace std::chrono_literals;

constexpr double characters_a_second = 14;
constexpr Duration breath = 300ms;
constexpr Duration stand_by_before = 15s;
constexpr Duration hands_off_before = 10s;
constexpr Duration eyes_before = 15s;  // beyond what C3 is uncertain by

struct MarkedCue {
  Cue cue;
  Mark mark;
};

std::string or_usual(const std::string& reworded, const std::string& usual) {
  return reworded.empty() ? usual : reworded;
}

/// Names that a sentence quotes, and what stands for them where they would make it say what no such cue may:
/// judged by how it reads in English.
struct Quoted {
  std::string names;
  std::string numbers;
};
std::string quoting(plan::Language language, Sentence what, const Quoted& rigs, plan::SpeechRule why_not,
                    const std::string& whom = {}, const std::string& second = {}) {
  const bool fine = why_not(whom + sentence(plan::Language::english, what, rigs.names, second)).empty();
  return (fine ? whom : std::string{}) + sentence(language, what, fine ? rigs.names : rigs.numbers, second);
}

/// "Kim, " where several people are at the rigs.
std::string address(const Timeline& timeline, std::size_t rig) {
  const auto& person = timeline.rigs[rig].person;
  const bool several =
      std::ranges::any_of(timeline.rigs, [&](const RigTimeline& other) { return other.person != person; });
  return several && !person.empty() ? person + ", " : std::string{};
}

std::string numbered(plan::Language language, std::size_t rig) {
  return sentence(language, Sentence::rig_number, std::to_string(rig + 1));
}

Quoted quoted(const Timeline& timeline, std::size_t rig) {
  return {timeline.rigs[rig].name, numbered(timeline.language, rig)};
}

void add_filter_cues(const plan::Rig& rig, const Timeline& timeline, std::size_t l,
                     std::vector<MarkedCue>& cues) {
  const auto mark = rig.filter->mark;
  const auto& window = *timeline.rigs[l].window;
  const auto about = [&](Sentence what, plan::SpeechRule why_not) {
    return quoting(timeline.language, what, quoted(timeline, l), why_not, address(timeline, l));
  };
  cues.push_back({{window.opens,
                   or_usual(rig.filter->say_off, about(Sentence::filter_off, plan::why_not_a_filter_off_cue)),
                   CueKind::filter_off, l},
                  mark});
  cues.push_back(
      {{window.usable_until,
        or_usual(rig.filter->say_on, about(Sentence::filter_back_on, plan::why_not_a_filter_on_cue)),
        CueKind::filter_on, l},
       mark});
}

bool at_once(const Cue& a, const Cue& b) {
  return a.ends - speech_time(a.words) < b.ends && b.ends - speech_time(b.words) < a.ends;
}

/// Where several filters come off one after the other, whoever is at work needs no word for the next.
void add_stand_by_cue(const plan::Rig& rig, const Timeline& timeline, std::size_t l,
                      std::vector<MarkedCue>& cues) {
  Cue cue{timeline.rigs[l].window->opens - stand_by_before,
          quoting(timeline.language, Sentence::stand_by, quoted(timeline, l), plan::why_not_a_filter_on_cue,
                  address(timeline, l)),
          CueKind::spoken, l};
  const bool clashes =
      std::ranges::any_of(cues, [&](const MarkedCue& other) { return at_once(other.cue, cue); });
  if (!clashes) cues.push_back({std::move(cue), rig.filter->mark});
}

void add_by_hand_cues(const Timeline& timeline, std::size_t l, std::vector<MarkedCue>& cues) {
  for (const auto& step : timeline.rigs[l].steps) {
    const auto& frames = step.shapes.front().exposures;
    const auto exposures =
        frames.size() == 1
            ? exposure::to_text(frames.front().shutter)
            : sentence(timeline.language, Sentence::frames, std::to_string(frames.size()),
                       exposure::to_text(frames.front().shutter), exposure::to_text(frames.back().shutter));
    cues.push_back({{step.first_opening(),
                     quoting(timeline.language, Sentence::by_hand, quoted(timeline, l), plan::why_not_a_cue,
                             {}, fmt::format("{}, {}", exposure::to_text(step.subject), exposures)),
                     CueKind::spoken, l},
                    step.mark});
  }
}

/// Of one step, at several rigs.
bool at_once(const HandsOnSpan& a, const HandsOnSpan& b) {
  return a.plan_step == b.plan_step && a.from == b.from;
}

/// The rigs of one hands-on step, one after the other in `hands_on`: "long and wide", "rig 1 and rig 2".
Quoted rigs_in_words(const Timeline& timeline, std::size_t first) {
  constexpr const char* and_in[] = {" and ", " y ", " et ", " und "};
  Quoted rigs;
  for (auto i = first; i < timeline.hands_on.size(); ++i) {
    const auto& span = timeline.hands_on[i];
    if (!at_once(span, timeline.hands_on[first])) continue;
    const auto* joint = i == first ? "" : and_in[static_cast<std::size_t>(timeline.language)];
    rigs.names += joint + timeline.rigs[span.rig].name;
    rigs.numbers += joint + numbered(timeline.language, span.rig);
  }
  return rigs;
}

void add_hands_on_cues(const Given& given, const Timeline& timeline, std::vector<MarkedCue>& cues) {
  for (std::size_t i = 0; i < timeline.hands_on.size(); ++i) {
    const auto& span = timeline.hands_on[i];
    if (i > 0 && at_once(timeline.hands_on[i - 1], span)) continue;
    const auto rigs = rigs_in_words(timeline, i);
    const auto& hands = std::get<plan::HandsOn>(given.plan.steps[span.plan_step].what);
    const auto off = std::max(span.until - hands_off_before, span.from + (span.until - span.from) / 2);
    const auto whom = address(timeline, span.rig);
    const bool all = plan::why_not_a_cue(whom + sentence(plan::Language::english, Sentence::hands_needed,
                                                         rigs.names, span.name))
                         .empty();
    const auto usual = all ? whom + sentence(timeline.language, Sentence::hands_needed, rigs.names, span.name)
                           : sentence(timeline.language, Sentence::hands_needed_at, rigs.numbers);
    cues.push_back({{span.from, or_usual(hands.say, usual), CueKind::hands_on, span.rig}, span.mark});
    cues.push_back({{off, quoting(timeline.language, Sentence::hands_off, rigs, plan::why_not_a_cue),
                     CueKind::hands_off, span.rig},
                    span.mark});
  }
}

/// For whoever is at work in totality; in a short one at its middle.
void add_eyes_cue(const Given& given, const Timeline& timeline, std::vector<MarkedCue>& cues) {
  const auto& c2 = given.sky.at(contacts::ContactName::c2);
  const auto& mid = given.sky.at(contacts::ContactName::mid);
  const auto& c3 = given.sky.at(contacts::ContactName::c3);
  if (given.sky.kind != contacts::Kind::total || !c2 || !mid || !c3) return;
  const auto in_totality = [&](const RigStep& step) { return step.until > c2->utc && step.from < c3->utc; };
  if (std::ranges::none_of(timeline.rigs, [&](const RigTimeline& rig) {
        return rig.window || std::ranges::any_of(rig.steps, in_totality);
      }))
    return;
  Cue eyes{std::max(c3->utc - c3->uncertainty - eyes_before, mid->utc),
           sentence(given.plan.voice.language, Sentence::sunlight_returns), CueKind::eyes, 0};
  // Between other words: a little later, where that is early enough, or else before them.
  const auto clash = [&] {
    return std::ranges::find_if(cues, [&](const MarkedCue& other) { return at_once(other.cue, eyes); });
  };
  const auto latest = std::max(c3->utc - c3->uncertainty, mid->utc);
  for (auto other = clash(); other != cues.end() && eyes.ends <= latest; other = clash())
    eyes.ends = other->cue.ends + speech_time(eyes.words);
  if (eyes.ends > latest) eyes.ends = std::min(latest, mid->utc);
  for (auto other = clash(); other != cues.end(); other = clash())
    eyes.ends = other->cue.ends - speech_time(other->cue.words);
  cues.push_back({std::move(eyes), given.plan.eclipse_mark});
}

/// They give way to all others.
void add_countdown(const Given& given, std::vector<MarkedCue>& cues) {
  if (given.sky.kind != contacts::Kind::total || !given.plan.voice.countdown) return;
  const auto language = given.plan.voice.language;
  const std::pair<contacts::ContactName, Sentence> contacts_named[] = {
      {contacts::ContactName::c2, Sentence::second_contact_in},
      {contacts::ContactName::c3, Sentence::third_contact_in}};
  const std::pair<Duration, Sentence> times[] = {
      {1min, Sentence::one_minute}, {30s, Sentence::thirty_seconds}, {10s, Sentence::ten_seconds}};
  const auto& c2 = given.sky.at(contacts::ContactName::c2);
  for (const auto& [name, words] : contacts_named) {
    const auto& contact = given.sky.at(name);
    for (const auto& [before, time] : times) {
      if (!contact || !c2) continue;
      const Cue cue{contact->utc - before, sentence(language, words, sentence(language, time))};
      if (name == contacts::ContactName::c3 && cue.ends < c2->utc + 10s) continue;
      if (std::ranges::none_of(cues, [&](const MarkedCue& other) { return at_once(other.cue, cue); }))
        cues.push_back({cue, given.plan.eclipse_mark});
    }
  }
}

void add_plan_cues(const Given& given, Timeline& timeline, std::vector<MarkedCue>& cues,
                   Diagnostics& findings) {
  for (const auto& cue : given.plan.cues) {
    if (const auto left_out = why_left_out(cue.at, given.sky)) {
      timeline.skipped.push_back({fmt::format("cue \"{}\"", cue.say), "", *left_out});
      continue;
    }
    const auto ends = plan::resolve(cue.at, given.sky);  // there is one: why_left_out was asked
    if (auto far = far_from_eclipse(*ends, cue.at.mark, cue.say, given.sky))
      findings.push_back(std::move(*far));
    cues.push_back({{*ends, cue.say, CueKind::spoken, 0}, cue.mark});
  }
}

void warn_of_cues_at_once(const Given& given, const std::vector<MarkedCue>& cues, Diagnostics& findings) {
  for (std::size_t i = 1; i < cues.size(); ++i) {
    const auto& [before, before_mark] = cues[i - 1];
    const auto& [after, after_mark] = cues[i];
    if (after.ends - speech_time(after.words) >= before.ends) continue;
    findings.push_back(warning_at(
        after_mark.line >= before_mark.line ? after_mark : before_mark, "cues-at-once",
        fmt::format("\"{}\" (ends {}) and \"{}\" (ends {}) would be spoken at once", before.words,
                    relative_text(before.ends, given.sky), after.words, relative_text(after.ends, given.sky)),
        fmt::format("at least {} from the end of one to the end of the next",
                    rounded_text(speech_time(after.words)))));
  }
}

/// Nobody handles a filter while holding another rig, or the same one for something else.
void warn_of_hands_in_two_places(const Given& given, const Timeline& timeline, Diagnostics& findings) {
  for (const auto& span : timeline.hands_on) {
    for (const auto& rig : timeline.rigs) {
      if (!rig.window || rig.person != timeline.rigs[span.rig].person) continue;
      const bool off = span.from < rig.window->usable_from && span.until > rig.window->opens;
      const bool on = span.from < rig.window->closes && span.until > rig.window->usable_until;
      if (!off && !on) continue;
      findings.push_back(warning_at(
          span.mark, "hands-in-two-places",
          fmt::format("\"{}\" keeps hands on {} from {} to {}, while the filter of {} is handled from {}",
                      span.name, timeline.rigs[span.rig].name, relative_text(span.from, given.sky),
                      relative_text(span.until, given.sky), rig.name,
                      relative_text(off ? rig.window->opens : rig.window->usable_until, given.sky)),
          "hands-on spans clear of the filter cues"));
    }
  }
}

/// Nor is anybody at two rigs at once, or at one for two things; once for each two steps.
void warn_of_hands_at_once(const Given& given, const Timeline& timeline, Diagnostics& findings) {
  std::set<std::pair<std::size_t, std::size_t>> said;
  for (std::size_t n = 1; n < timeline.hands_on.size(); ++n) {
    const auto& after = timeline.hands_on[n];
    for (std::size_t b = 0; b < n; ++b) {
      const auto& before = timeline.hands_on[b];
      const bool apart = before.plan_step == after.plan_step ||
                         timeline.rigs[before.rig].person != timeline.rigs[after.rig].person ||
                         before.until <= after.from || after.until <= before.from;
      if (apart || !said.insert({before.plan_step, after.plan_step}).second) continue;
      findings.push_back(warning_at(
          after.mark, "hands-in-two-places",
          fmt::format(
              "\"{}\" wants hands on {} from {} to {}, while \"{}\" (line {}) has them on {} from {} to {}",
              after.name, timeline.rigs[after.rig].name, relative_text(after.from, given.sky),
              relative_text(after.until, given.sky), before.name, before.mark.line,
              timeline.rigs[before.rig].name, relative_text(before.from, given.sky),
              relative_text(before.until, given.sky)),
          "one after the other, one step with `hands: all`, or a `person` for each rig"));
    }
  }
}

}  // namespace

Duration speech_time(std::string_view words) {
  return breath + from_seconds(static_cast<double>(words.size()) / characters_a_second);
}

void make_cues(const Given& given, Timeline& timeline, Diagnostics& findings) {
  std::vector<MarkedCue> cues;
  for (std::size_t l = 0; l < timeline.rigs.size(); ++l) {
    if (timeline.rigs[l].window) add_filter_cues(given.plan.rigs[l], timeline, l, cues);
  }
  for (std::size_t l = 0; l < timeline.rigs.size(); ++l) {
    if (timeline.rigs[l].window) add_stand_by_cue(given.plan.rigs[l], timeline, l, cues);
    if (timeline.rigs[l].by_hand) add_by_hand_cues(timeline, l, cues);
  }
  add_hands_on_cues(given, timeline, cues);
  add_plan_cues(given, timeline, cues, findings);
  add_eyes_cue(given, timeline, cues);
  add_countdown(given, cues);
  std::ranges::stable_sort(cues,
                           [](const MarkedCue& a, const MarkedCue& b) { return a.cue.ends < b.cue.ends; });
  warn_of_cues_at_once(given, cues, findings);
  warn_of_hands_in_two_places(given, timeline, findings);
  warn_of_hands_at_once(given, timeline, findings);
  for (auto& marked : cues) timeline.cues.push_back(std::move(marked.cue));
}

}  // namespace noonfall::timeline
