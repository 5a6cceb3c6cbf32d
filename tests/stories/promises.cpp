#include "tests/stories/promises.h"

#include <map>
#include <optional>

#include <fmt/format.h>

#include "lib/shotlog/replay.h"
#include "tests/stories/filter_promises.h"

namespace noonfall::stories {
namespace {

std::string to_words(const shotlog::FrameName& name) {
  return fmt::format("{}/{} {}.{}", name.rig, name.step, name.set, name.frame);
}

/// What the log owes to each frame.
class FramePromises {
 public:
  void take(const Moment& moment) {
    if (const auto* stepped = std::get_if<Stepped>(&moment.what)) {
      for (const auto& line : stepped->lines) read(line);
    }
    if (const auto* shot = std::get_if<Shot>(&moment.what)) take(*shot);
  }

  std::vector<std::string> broken() {
    for (const auto& [name, frame] : frames_) {
      if (!frame.last_word) {
        breaks(name, "was asked for and has no last word");
      } else if (frame.taken && *frame.last_word != order::Outcome::fired &&
                 *frame.last_word != order::Outcome::unknown) {
        breaks(name, fmt::format("was taken, and its last word is {}", order::to_text(*frame.last_word)));
      } else if (!frame.taken && *frame.last_word == order::Outcome::fired) {
        breaks(name, "was never taken, and its last word is that it fired");
      }
    }
    return std::move(broken_);
  }

 private:
  struct Frame {
    std::int64_t order = 0;
    bool taken = false;
    std::optional<order::Outcome> last_word;
  };

  void read(const shotlog::Line& line) {
    if (const auto* intent = std::get_if<shotlog::Intent>(&line.entry)) {
      if (!frames_.try_emplace(intent->frame, Frame{intent->order, false, {}}).second)
        breaks(intent->frame, "is asked for twice");
    }
    if (const auto* outcome = std::get_if<shotlog::FrameOutcome>(&line.entry))
      word(outcome->frame, outcome->result, true);
    if (const auto* skip = std::get_if<shotlog::Skip>(&line.entry))
      word(skip->frame, order::Outcome::skipped, false);
  }

  void word(const shotlog::FrameName& name, order::Outcome result, bool was_asked) {
    const auto frame = frames_.find(name);
    if (frame == frames_.end()) {
      if (was_asked) breaks(name, "has an outcome and nobody asked for it");
      return;
    }
    auto& last = frame->second.last_word;
    if (last && *last != order::Outcome::unknown) breaks(name, "has two last words");
    last = result;
  }

  void take(const Shot& shot) {
    const auto frame = frames_.find(shot.name);
    if (frame == frames_.end() || frame->second.order != shot.order)
      return breaks(shot.name, "was taken without a line that asked for it");
    if (frame->second.taken) breaks(shot.name, "was taken twice");
    frame->second.taken = true;
  }

  void breaks(const shotlog::FrameName& name, const std::string& what) {
    broken_.push_back(to_words(name) + " " + what);
  }

  std::map<shotlog::FrameName, Frame> frames_;
  std::vector<std::string> broken_;
};

/// The log is whole: numbered without a gap over all cores, with one header, ended by its last line.
std::vector<std::string> broken_log(const Record& record) {
  std::vector<std::string> broken;
  const auto replayed = shotlog::replay(record.log);
  if (!replayed.damage.empty() || replayed.torn_tail || replayed.lines != record.lines)
    broken.emplace_back("the log doesn't read as it was written");
  std::int64_t seq = 0;
  int headers = 0;
  for (const auto& line : replayed.lines) {
    if (line.seq != ++seq) return {fmt::format("line {} of the log has the number {}", seq, line.seq)};
    headers += std::holds_alternative<shotlog::Header>(line.entry) ? 1 : 0;
  }
  if (headers != 1) broken.push_back(fmt::format("the log has {} headers", headers));
  return broken;
}

}  // namespace

std::vector<std::string> broken_promises(const Record& record) {
  FilterPromises filters;
  FramePromises frames;
  for (const auto& moment : record.moments) {
    filters.take(moment);
    frames.take(moment);
  }
  auto broken = filters.broken();
  const auto add = [&](std::vector<std::string> more) {
    broken.insert(broken.end(), more.begin(), more.end());
  };
  if (!record.broke_off.empty()) {
    broken.push_back(record.broke_off);
    return broken;
  }
  add(frames.broken());
  add(broken_log(record));
  return broken;
}

}  // namespace noonfall::stories
