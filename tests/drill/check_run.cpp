#include "tests/drill/check_run.h"

#include <algorithm>
#include <filesystem>
#include <map>
#include <set>
#include <sstream>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "daemon/worker/body_record.h"
#include "lib/shotlog/replay.h"
#include "lib/time/utc_text.h"
#include "tests/program/run_program.h"
#include "tests/stories/promises.h"

namespace noonfall::drill {
namespace {

using namespace std::chrono_literals;
using sim::RecordedFrame;
using stories::Moment;

constexpr Duration thaws_within = 500ms;  // what a body was told while it stood still it does then

struct Asked {
  shotlog::Intent intent;
  Utc written;
  exposure::Exposure exposure;  // as the body had it, where the log says so
  std::vector<std::string> files;
  std::optional<order::Outcome> word;
  bool taken = false;
};
using AskedByName = std::map<shotlog::FrameName, Asked>;

/// All that a judge of filters goes by.
timeline::Timeline timeline_of(const shotlog::Header& header) {
  timeline::Timeline timeline;
  for (const auto& planned : header.rigs) {
    timeline::RigTimeline rig;
    rig.name = planned.rig;
    rig.has_filter = planned.window.has_value();
    if (const auto& w = planned.window) rig.window = {w->opens, w->usable_from, w->usable_until, w->closes};
    timeline.rigs.push_back(std::move(rig));
  }
  return timeline;
}

class Checker {
 public:
  Checker(std::string folder, const Watched& watched) : folder_{std::move(folder)}, watched_{watched} {}

  Verdict check() {
    const auto bytes = tests::text_of_file((folder_ / "shots.jsonl").string());
    check_nothing_lost(bytes);
    auto log = shotlog::replay(bytes);
    for (const auto& damage : log.damage)
      broken(fmt::format("line {}: {}", damage.mark.line, damage.message));
    record_.log = bytes.substr(0, log.sound_size);
    record_.lines = std::move(log.lines);
    for (const auto& line : record_.lines) {
      std::visit([&](const auto& entry) { saw(line, entry); }, line.entry);
      record_.moments.push_back(step_of(line));
    }
    from_header_ = timeline_of(header_);
    for (std::size_t rig = 0; rig < header_.rigs.size(); ++rig) check_body(rig);
    add_cores();
    if (!watched_.screen.empty()) check_screen();
    std::ranges::stable_sort(record_.moments, {}, &Moment::at);
    std::ranges::move(stories::broken_promises(record_), std::back_inserter(out_.broken));
    for (const auto& [name, asked] : asked_) {
      out_.fired += asked.word == order::Outcome::fired ? 1 : 0;
      out_.unknown += asked.word == order::Outcome::unknown ? 1 : 0;
      out_.unknown_taken += asked.word == order::Outcome::unknown && asked.taken ? 1 : 0;
    }
    return std::move(out_);
  }

 private:
  void check_nothing_lost(const std::string& log) {
    for (const auto& before : watched_.logs) {
      if (!log.starts_with(before)) broken("lines that stood in the log are gone");
    }
    for (const auto& text : watched_.elsewhere) {
      std::istringstream lines{text.substr(0, text.rfind('\n') + 1)};
      for (std::string line; std::getline(lines, line);) {
        if (log.find(line + '\n') == std::string::npos) broken("gone from the second place: " + line);
      }
    }
  }

  static Moment step_of(const shotlog::Line& line) {
    stories::Stepped step{{line}, {}, {}, false, false};
    const auto* cue = std::get_if<shotlog::CueLine>(&line.entry);
    if (cue != nullptr && cue->why.empty()) {
      step.words = {cue->words};
      step.words_end = {cue->ends};
    }
    const auto* end = std::get_if<shotlog::Ended>(&line.entry);
    step.finished = end != nullptr && end->how == shotlog::RunEnd::done;
    const auto* command = std::get_if<shotlog::CommandLine>(&line.entry);
    step.leaving = command != nullptr && std::holds_alternative<shotlog::Stop>(command->command);
    return {line.utc, line.utc, line.utc, std::move(step)};
  }

  void saw(const shotlog::Line& /*line*/, const shotlog::Header& header) { header_ = header; }
  void saw(const shotlog::Line& line, const shotlog::Intent& intent) {
    ++out_.intended;
    asked_.emplace(intent.frame, Asked{intent, line.utc, intent.exposure, {}, {}});
  }
  void saw(const shotlog::Line& /*line*/, const shotlog::FrameOutcome& outcome) {
    const auto asked = asked_.find(outcome.frame);
    if (asked == asked_.end()) return;
    asked->second.word = outcome.result;
    asked->second.files = outcome.files;
    if (outcome.result == order::Outcome::fired) asked->second.exposure = outcome.exposure;
  }
  void saw(const shotlog::Line& /*line*/, const shotlog::Skip& skip) {
    const auto asked = asked_.find(skip.frame);
    if (asked != asked_.end()) asked->second.word = order::Outcome::skipped;
  }
  void saw(const shotlog::Line& /*line*/, const shotlog::CueLine& cue) {
    if (!cue.why.empty() || !cue.filter) return;
    ++(cue.filter->leaves == shotlog::FilterState::on ? out_.called_on : out_.told_off);
  }
  template <class Other>
  void saw(const shotlog::Line& /*line*/, const Other& /*of no frame*/) {}

  void check_body(std::size_t rig) {
    const bool cabled = rig < watched_.bodies.size();
    const auto taken = cabled ? watched_.bodies[rig].taken
                              : worker::read_record(tests::text_of_file(
                                    (folder_ / fmt::format("rig-{}.taken.jsonl", rig)).string()));
    const auto& plan = header_.rigs[rig];
    for (const auto& picture : taken) {
      ++out_.taken;
      auto name = cabled ? shotlog::FrameName{} : name_of(plan, picture.id);
      if (cabled) {
        if (const auto* by_file = frame_with_files(plan.rig, picture)) name = *by_file;
      }
      const bool late = cabled && held_up(watched_.bodies[rig], picture);
      if (cabled && name.set == 0) name = frame_by_time(plan.rig, picture, late ? Duration::max() : 1s);
      check(plan, name, picture, late);
    }
  }

  static shotlog::FrameName name_of(const shotlog::PlannedRig& plan, const order::FrameId& id) {
    return {plan.rig, plan.steps[static_cast<std::size_t>(id.step)].step, id.set, id.frame};
  }

  /// A body on a cable doesn't know what its host calls a frame; the log knows what most pictures are called.
  const shotlog::FrameName* frame_with_files(const std::string& rig, const RecordedFrame& picture) const {
    const auto found = std::ranges::find_if(asked_, [&](const auto& asked) {
      return asked.first.rig == rig && !asked.second.files.empty() && asked.second.files == picture.files;
    });
    return found == asked_.end() ? nullptr : &found->first;
  }

  /// Else one asked for before and not taken since, with this exposure: that whose time is over first.
  shotlog::FrameName frame_by_time(const std::string& rig, const RecordedFrame& picture,
                                   Duration most_late) const {
    const AskedByName::value_type* best = nullptr;
    for (const auto& asked : asked_) {
      const auto& frame = asked.second;
      const bool fits = asked.first.rig == rig && frame.files.empty() && !frame.taken &&
                        frame.exposure == picture.exposure && frame.written <= picture.released &&
                        frame.word != order::Outcome::skipped;
      if (fits && picture.opened - frame.intent.latest <= most_late &&
          (best == nullptr || frame.intent.latest < best->second.intent.latest))
        best = &asked;
    }
    if (best != nullptr) return best->first;
    return {rig, "(none: " + picture.files.front() + ")", 0, ++unasked_};
  }

  static bool held_up(const WatchedBody& body, const RecordedFrame& picture) {
    return std::ranges::any_of(body.stood_still, [&](const auto& span) {
      return picture.closed >= span.first && picture.released <= span.second + thaws_within;
    });
  }

  void check(const shotlog::PlannedRig& plan, const shotlog::FrameName& name, const RecordedFrame& picture,
             bool held_up) {
    stories::Shot shot;
    shot.name = name;
    shot.held_up = held_up;
    shot.released_true = shot.released = picture.released;
    shot.opened = picture.opened;
    shot.closed = picture.closed;
    const auto step = std::ranges::find(plan.steps, name.step, &shotlog::PlannedStep::step);
    const auto asked = asked_.find(name);
    if (step != plan.steps.end() && asked != asked_.end()) {
      shot.order = asked->second.intent.order;
      shot.filtered = step->filtered;
      asked->second.taken = true;
      if (!held_up) check_time(*step, asked->second.intent, picture);
    }
    const auto& planned = watched_.timeline != nullptr ? watched_.timeline->rigs : from_header_.rigs;
    const auto rig = std::ranges::find(planned, plan.rig, &timeline::RigTimeline::name);
    out_.unfiltered += !shot.filtered && plan.window ? 1 : 0;
    out_.held_up += held_up ? 1 : 0;
    shot.has_filter = rig == planned.end() ? plan.window.has_value() : rig->has_filter;
    record_.moments.push_back({shot.released, shot.released, shot.released, std::move(shot)});
  }

  void check_time(const shotlog::PlannedStep& step, const shotlog::Intent& intent,
                  const RecordedFrame& picture) {
    const auto& [rig, name, set, number] = intent.frame;
    const auto text = fmt::format("{}, {} {}.{}", rig, name, set, number);
    const auto earliest = step.back_to_back ? step.from : intent.due;
    if (picture.opened > intent.latest) broken("opened too late: " + text);
    if (number == 1 && picture.opened < earliest) broken("opened too early: " + text);
    if (picture.opened < step.from || picture.closed > step.until) broken("outside its step: " + text);
  }

  /// A core was there from its first line on.
  void add_cores() {
    const auto* timeline = watched_.timeline != nullptr ? watched_.timeline : &from_header_;
    auto moments = watched_.moments;
    if (moments.empty()) moments.push_back({Utc::min(), {}, {}, stories::Began{}});
    std::vector<Moment> cores;
    for (auto moment = moments.begin(); moment != moments.end(); ++moment) {
      if (auto* began = std::get_if<stories::Began>(&moment->what)) {
        const auto first =
            std::ranges::find_if(record_.lines, [&](const auto& line) { return line.utc >= moment->at; });
        const auto ended = std::find_if(moment, moments.end(), [](const auto& later) {
          return std::holds_alternative<stories::Ended>(later.what);
        });
        if (first == record_.lines.end() || (ended != moments.end() && first->utc > ended->at)) continue;
        *began = {timeline, header_.mode};
        moment->at = first->utc;
      }
      moment->now = moment->reads = moment->at;
      cores.push_back(*moment);
    }
    // before the lines of the same instant
    record_.moments.insert(record_.moments.begin(), cores.begin(), cores.end());
  }

  /// What is in the log as spoken was on the screen, but for a line each that a kill came before; nothing
  /// else.
  void check_screen() {
    std::multiset<std::string> logged;
    for (const auto& line : record_.lines) {
      const auto* cue = std::get_if<shotlog::CueLine>(&line.entry);
      if (cue == nullptr || !cue->why.empty()) continue;
      logged.insert(fmt::format(
          "{} UTC {}{}: {}", to_clock_text(std::chrono::floor<std::chrono::seconds>(line.utc), 0),
          cue->filter && cue->filter->late ? "ALARM " : "", cue->printed ? "cue" : "says", cue->words));
    }
    std::istringstream lines{watched_.screen};
    for (std::string line; std::getline(lines, line);) {
      if (line.find("says: ") == std::string::npos && line.find("cue: ") == std::string::npos) continue;
      const auto spoken = logged.find(line);
      if (spoken == logged.end()) {
        broken("said, and not in the log: " + line);
      } else {
        logged.erase(spoken);
      }
    }
    const auto kills = std::ranges::count_if(watched_.moments, [](const auto& moment) {
      return std::holds_alternative<stories::Ended>(moment.what);
    });
    if (static_cast<std::ptrdiff_t>(logged.size()) > kills)
      broken(fmt::format("in the log and never said: {}", fmt::join(logged, ", ")));
  }

  void broken(std::string what) { out_.broken.push_back(std::move(what)); }

  std::filesystem::path folder_;
  const Watched& watched_;
  shotlog::Header header_;
  timeline::Timeline from_header_;
  AskedByName asked_;
  stories::Record record_;
  mutable std::int32_t unasked_ = 0;
  Verdict out_;
};

}  // namespace

void add(Verdict& sum, Verdict more) {
  sum.intended += more.intended;
  sum.fired += more.fired;
  sum.unknown += more.unknown;
  sum.unknown_taken += more.unknown_taken;
  sum.taken += more.taken;
  sum.unfiltered += more.unfiltered;
  sum.held_up += more.held_up;
  sum.told_off += more.told_off;
  sum.called_on += more.called_on;
  std::ranges::move(more.broken, std::back_inserter(sum.broken));
}

Verdict check_run(const std::string& folder, const Watched& watched) {
  return Checker{folder, watched}.check();
}

}  // namespace noonfall::drill
