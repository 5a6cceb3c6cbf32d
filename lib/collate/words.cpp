#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "lib/base/code_points.h"
#include "lib/base/plain_text.h"
#include "lib/collate/manifest.h"
#include "lib/exposure/scale.h"
#include "lib/time/duration_text.h"
#include "lib/time/utc_text.h"
#include "lib/timeline/relative_text.h"

namespace noonfall::collate {
namespace {

constexpr std::size_t most_listed = 20;

std::string counted(int count, std::string_view one, std::string_view several) {
  return fmt::format("{} {}", count, count == 1 ? one : several);
}

std::string clock_text(const CameraClock& clock, const LocalClock& local) {
  const auto show = [&](Utc instant) { return local ? local(instant) : to_clock_text(instant) + " UTC"; };
  const auto off = std::chrono::round<std::chrono::milliseconds>(std::chrono::abs(clock.ahead));
  return fmt::format("  {}, {}: {} from {} to {}, its clock {} {}, {} {:.1f} s a day\n",
                     plain_line(clock.rig),
                     plain_line(clock.camera.empty() ? "a camera that names itself nowhere" : clock.camera),
                     counted(clock.photos, "file", "files"), show(clock.from), show(clock.until),
                     noonfall::to_text(Duration{off}), clock.ahead < 0us ? "behind" : "ahead",
                     clock.gains_s < 0 ? "losing" : "gaining", std::abs(clock.gains_s));
}

/// A list of lines, cut where nobody reads on.
class Lines {
 public:
  explicit Lines(std::string title) : title_{std::move(title)} {}
  void add(std::string line) {
    if (++count_ <= most_listed) lines_ += "  " + line + '\n';
  }
  [[nodiscard]] std::string take() const {
    if (count_ == 0) return {};
    const auto rest = count_ - std::min(count_, most_listed);
    return title_ + '\n' + lines_ + (rest > 0 ? fmt::format("  and {} more\n", rest) : "");
  }

 private:
  std::string title_;
  std::string lines_;
  std::size_t count_ = 0;
};

std::string frame_text(const Shot& shot) {
  return plain_line(
      fmt::format("{} {}.{}, {}", shot.frame.step, shot.frame.set, shot.frame.frame, shot.frame.rig));
}

/// Step by step, with the frames by their numbers as far as anybody reads them.
std::string missing_lines(const Collation& all) {
  struct Gap {
    std::string_view step;
    std::string_view rig;
    int frames = 0;
    std::string names = {};
  };
  constexpr int most_named = 8;
  std::vector<Gap> gaps;
  for (const auto& row : all.rows) {
    if (row.status != Status::missing) continue;
    const auto& frame = all.log.shots[*row.shot].frame;
    auto gap = std::find_if(gaps.begin(), gaps.end(), [&](const Gap& each) {
      return each.step == frame.step && each.rig == frame.rig;
    });
    if (gap == gaps.end()) gap = gaps.insert(gap, {frame.step, frame.rig});
    if (++gap->frames <= most_named) gap->names += fmt::format(" {}.{}", frame.set, frame.frame);
  }
  Lines lines{"\nFrames without a file:"};
  for (const auto& gap : gaps)
    lines.add(plain_line(fmt::format("{}, {}: {}:{}{}", gap.step, gap.rig, gap.frames, gap.names,
                                     gap.frames > most_named ? " ..." : "")));
  return lines.take();
}

std::string bracket_lines(const Collation& all) {
  std::vector<std::pair<Utc, std::string>> broken;
  int complete = 0;
  int absent = 0;
  for (const auto& [set, bracket] : all.brackets) {
    if (bracket.complete()) ++complete;
    if (bracket.there == 0) ++absent;
    if (bracket.complete() || bracket.there == 0) continue;
    broken.emplace_back(bracket.opened,
                        plain_line(fmt::format("{} {}, {}: {} of {} frames, {}", set.step, set.set, set.rig,
                                               bracket.there, bracket.frames, range_text(bracket))));
  }
  std::stable_sort(broken.begin(), broken.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  Lines lines{"Broken:"};
  for (auto& [opened, line] : broken) lines.add(std::move(line));
  return fmt::format("\nBrackets: {} complete, {} broken, {} without any file.\n", complete, broken.size(),
                     absent) +
         lines.take();
}

/// One run of characters that any file system takes, and no way out of a folder.
std::string name_part(std::string_view text) {
  constexpr std::size_t longest = 80;
  auto out = plain_line(text);
  for (auto& c : out)
    if (std::string_view{"/\\:*?\"<>|"}.find(c) != std::string_view::npos) c = '-';
  if (out.empty() || out.front() == '.') out = "_" + out;
  return std::string{first_bytes(out, longest)};
}

}  // namespace

std::string range_text(const BracketTaken& bracket) {
  if (!bracket.covers) return "nothing of it is here";
  const auto& [least, most] = *bracket.covers;
  const auto stops = std::abs(exposure::stops_between(least, most).value);
  if (least == most) return exposure::to_text(least) + " alone";
  return fmt::format("{} to {}, {:.1f} stops", exposure::to_text(least), exposure::to_text(most), stops);
}

std::string to_text(const Collation& all, const LocalClock& local) {
  auto out =
      fmt::format("{}: {} matched, {} by hand, {} doubtful, {} unreadable. {} without a file.\n",
                  counted(static_cast<int>(all.photos.size()), "file", "files"), all.count(Status::matched),
                  all.count(Status::by_hand), all.count(Status::doubtful), all.count(Status::unreadable),
                  counted(all.count(Status::missing), "frame", "frames"));
  if (all.lone > 0)
    out += fmt::format("{} only one of the two files that the camera made.\n",
                       counted(all.lone, "frame has", "frames have"));
  for (const auto& clock : all.clocks) out += clock_text(clock, local);
  out += bracket_lines(all);
  Lines doubtful{"\nDoubtful:"};
  Lines unreadable{"\nUnreadable:"};
  for (const auto& row : all.rows) {
    const auto file = row.photo ? plain_line(all.photos[*row.photo].file) : std::string{};
    if (row.status == Status::doubtful)
      doubtful.add(
          fmt::format("{}, perhaps {}: {}", file, frame_text(all.log.shots[*row.shot]), plain_line(row.why)));
    if (row.status == Status::unreadable) unreadable.add(file + ": " + plain_line(row.why));
  }
  return out + missing_lines(all) + doubtful.take() + unreadable.take();
}

std::string place_in_tree(const Collation& all, const Row& row) {
  if (!row.photo || row.status == Status::unreadable) return {};
  const auto& photo = all.photos[*row.photo];
  const auto name = name_part(photo.name());
  if (!row.shot) return "by hand/" + name;
  const auto& shot = all.log.shots[*row.shot];
  const auto* bracket = all.bracket_of(shot.frame);
  const auto* doubt = row.status == Status::doubtful ? "doubtful/" : "";
  auto folder = fmt::format("{}{}/{}/", doubt, name_part(shot.frame.rig), name_part(shot.frame.step));
  const auto light = name_part(exposure::to_text(shot.exposure.shutter));
  if (bracket == nullptr) return fmt::format("{}{:05} {} {}", folder, shot.frame.set, light, name);
  folder += fmt::format("{:05}{}/", shot.frame.set, bracket->complete() ? "" : " broken");
  return fmt::format("{}{:03} {} {}", folder, shot.frame.frame, light, name);
}

Caption caption(const Collation& all, const Row& row) {
  Caption out;
  if (row.shot) {
    const auto& shot = all.log.shots[*row.shot];
    out.relative = timeline::relative_text(shot.opened, all.log.sky);
    out.title = frame_text(shot);
    out.description =
        plain_line(fmt::format("{}, {}, {}", shot.subject, out.relative, exposure::to_text(shot.exposure)));
    return out;
  }
  if (row.at) out.relative = timeline::relative_text(*row.at, all.log.sky);
  out.title = "taken by hand";
  out.description = out.relative;
  return out;
}

}  // namespace noonfall::collate
