#include "tests/stories/trace.h"

#include <algorithm>

#include <fmt/format.h>

#include "lib/base/match.h"
#include "lib/shotlog/codec.h"
#include "lib/time/utc_text.h"

namespace noonfall::stories {
namespace {

std::string line_words(const shotlog::Line& line) {
  if (std::holds_alternative<shotlog::Header>(line.entry) ||
      std::holds_alternative<shotlog::Amendment>(line.entry))
    return fmt::format("    {}\n", shotlog::kind_of(line.entry));
  return "    " + shotlog::encode(line);
}

std::string words_of(const Stepped& stepped) {
  if (stepped.lines.empty() && stepped.words.empty() && !stepped.finished) return {};
  std::string text = "step\n";
  for (const auto& line : stepped.lines) text += line_words(line);
  for (std::size_t n = 0; n < stepped.words.size(); ++n)
    text += fmt::format("    says \"{}\", ending {}\n", stepped.words[n], to_text_us(stepped.words_end[n]));
  return text;
}

std::string words_of(const Moment& moment) {
  return std::visit(Match{[](const Began&) { return std::string{"a core begins\n"}; },
                          [](const Ended&) { return std::string{"the core ends\n"}; },
                          [](const Stalled&) { return std::string{"the core stalls\n"}; },
                          [](const WentOn&) { return std::string{"the core goes on\n"}; },
                          [](const ClockMoved&) { return std::string{"the clock is graded or moved\n"}; },
                          [](const Stepped& stepped) { return words_of(stepped); },
                          [](const Shot& shot) {
                            return fmt::format(
                                "picture {}/{} {}.{} of order {}, released {}, open {} to {}\n",
                                shot.name.rig, shot.name.step, shot.name.set, shot.name.frame, shot.order,
                                to_text_us(shot.released), to_text_us(shot.opened), to_text_us(shot.closed));
                          }},
                    moment.what);
}

std::string windows_of(const Chapter& chapter) {
  std::string text;
  for (const auto& rig : chapter.timeline.rigs) {
    if (rig.window)
      text += fmt::format("  {}: {} {} {} {}\n", rig.name, to_text_us(rig.window->opens),
                          to_text_us(rig.window->usable_from), to_text_us(rig.window->usable_until),
                          to_text_us(rig.window->closes));
  }
  return text;
}

}  // namespace

std::string trace(const Story& story, const Record& record) {
  std::string text =
      fmt::format("story {}, from {}, bodies at {} x\n", story.seed, to_text_us(story.starts), story.detune);
  for (std::size_t n = 0; n < story.chapters.size(); ++n) {
    text += fmt::format("chapter {}: {}\n{}{}", n, story.chapters[n].name, windows_of(story.chapters[n]),
                        story.plans[n]);
  }
  for (const auto& event : story.events) text += to_text(event, story.starts) + "\n";
  for (const auto& moment : record.moments) {
    const auto words = words_of(moment);
    if (!words.empty())
      text +=
          fmt::format("{:9.3f} {} {}", in_seconds(moment.at - story.starts), to_text_us(moment.now), words);
  }
  return text;
}

}  // namespace noonfall::stories
