#include "tests/drill/check_run.h"

#include <filesystem>
#include <map>
#include <set>

#include <fmt/format.h>

#include "daemon/worker/body_record.h"
#include "lib/shotlog/replay.h"
#include "tests/program/run_program.h"

namespace noonfall::drill {
namespace {

using namespace std::chrono_literals;
using shotlog::FrameName;

std::string text(const FrameName& name) {
  return fmt::format("{}, {} {}.{}", name.rig, name.step, name.set, name.frame);
}

struct Asked {
  shotlog::Intent intent;
  std::optional<order::Outcome> word;
};

class Checker {
 public:
  explicit Checker(std::string folder) : folder_{std::move(folder)} {}

  Verdict check(const std::vector<std::string>& snapshots) {
    const auto bytes = tests::text_of_file((folder_ / "shots.jsonl").string());
    for (const auto& snapshot : snapshots) {
      if (!bytes.starts_with(snapshot)) broken("lines that stood in the log are gone");
    }
    const auto log = shotlog::replay(bytes);
    for (const auto& damage : log.damage)
      broken(fmt::format("line {}: {}", damage.mark.line, damage.message));
    for (const auto& line : log.lines) std::visit([&](const auto& entry) { saw(entry); }, line.entry);
    for (std::size_t rig = 0; rig < header_.rigs.size(); ++rig) check_body(rig);
    check_words();
    return std::move(out_);
  }

 private:
  void saw(const shotlog::Header& header) {
    if (!header_.rigs.empty()) broken("a second header");
    header_ = header;
  }
  void saw(const shotlog::Intent& intent) {
    ++out_.intended;
    if (!asked_.emplace(intent.frame, Asked{intent, {}}).second)
      broken("asked for twice: " + text(intent.frame));
  }
  void saw(const shotlog::Outcome& outcome) { last_word(outcome.frame, outcome.result, true); }
  void saw(const shotlog::Skip& skip) {
    if (skip.frame.set > 0) last_word(skip.frame, order::Outcome::skipped, false);
  }
  template <class Other>
  void saw(const Other& /*of no frame*/) {}

  void last_word(const FrameName& name, order::Outcome word, bool must_be_asked) {
    const auto asked = asked_.find(name);
    if (asked == asked_.end()) {
      if (must_be_asked) broken("an outcome nobody asked for: " + text(name));
      return;
    }
    auto& before = asked->second.word;
    if (before && *before != order::Outcome::unknown) broken("two last words: " + text(name));
    before = word;
  }

  void check_body(std::size_t rig) {
    const auto& plan = header_.rigs[rig];
    std::set<FrameName> seen;
    for (const auto& frame : worker::read_record(
             tests::text_of_file((folder_ / fmt::format("rig-{}.taken.jsonl", rig)).string()))) {
      ++out_.taken;
      const auto& step = plan.steps[static_cast<std::size_t>(frame.id.step)];
      const FrameName name{plan.rig, step.step, frame.id.set, frame.id.frame};
      if (!seen.insert(name).second) broken("taken twice: " + text(name));
      const auto asked = asked_.find(name);
      if (asked == asked_.end()) {
        broken("taken and not asked for: " + text(name));
        continue;
      }
      if (frame.opened > asked->second.intent.latest) broken("opened too late: " + text(name));
      const auto earliest = step.back_to_back ? step.from : asked->second.intent.due;
      if (frame.id.frame == 1 && frame.opened < earliest) broken("opened too early: " + text(name));
      if (frame.opened < step.from || frame.closed > step.until) broken("outside its step: " + text(name));
      if (!step.filtered && plan.window &&
          (frame.opened < plan.window->usable_from || frame.closed > plan.window->usable_until))
        broken("outside the filter window: " + text(name));
      if (asked->second.word == order::Outcome::unknown) {
        ++out_.unknown_taken;
      } else if (asked->second.word != order::Outcome::fired) {
        broken("taken, and the log says it wasn't: " + text(name));
      }
    }
    for (const auto& [name, asked] : asked_) {
      if (name.rig == plan.rig && asked.word == order::Outcome::fired && !seen.contains(name))
        broken("fired by the log, and the body has no such picture: " + text(name));
    }
  }

  void check_words() {
    for (const auto& [name, asked] : asked_) {
      if (!asked.word) broken("no last word: " + text(name));
      out_.fired += asked.word == order::Outcome::fired ? 1 : 0;
      out_.unknown += asked.word == order::Outcome::unknown ? 1 : 0;
    }
  }

  void broken(std::string what) { out_.broken.push_back(std::move(what)); }

  std::filesystem::path folder_;
  shotlog::Header header_;
  std::map<FrameName, Asked> asked_;
  Verdict out_;
};

}  // namespace

Verdict check_run(const std::string& folder, const std::vector<std::string>& snapshots) {
  return Checker{folder}.check(snapshots);
}

}  // namespace noonfall::drill
