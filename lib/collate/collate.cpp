#include "lib/collate/collate.h"

#include <algorithm>
#include <map>
#include <set>

#include "lib/collate/matcher.h"
#include "lib/exposure/scale.h"

namespace noonfall::collate {
namespace {

shotlog::FrameName set_of(shotlog::FrameName frame) {
  frame.frame = 0;
  return frame;
}

bool darker(const exposure::Exposure& a, const exposure::Exposure& b) {
  return exposure::stops_between(a, b) > Stops{0};
}

void widen(BracketTaken& bracket, const exposure::Exposure& exposure) {
  if (!bracket.covers) bracket.covers = {exposure, exposure};
  if (darker(exposure, bracket.covers->first)) bracket.covers->first = exposure;
  if (darker(bracket.covers->second, exposure)) bracket.covers->second = exposure;
}

std::map<shotlog::FrameName, BracketTaken> brackets_of(const Logged& log,
                                                       const std::set<std::size_t>& there) {
  std::map<shotlog::FrameName, BracketTaken> all;
  for (std::size_t n = 0; n < log.shots.size(); ++n) {
    const auto& shot = log.shots[n];
    auto& bracket = all.try_emplace(set_of(shot.frame), BracketTaken{.opened = shot.opened}).first->second;
    ++bracket.frames;
    if (!there.contains(n)) continue;
    ++bracket.there;
    widen(bracket, shot.exposure);
  }
  for (const auto& frame : log.never_taken)
    if (const auto found = all.find(set_of(frame)); found != all.end()) ++found->second.frames;
  std::erase_if(all, [](const auto& each) { return each.second.frames < 2; });
  return all;
}

/// Frames of which the body made two files, and only one is here.
int lone_frames(const std::vector<Shot>& shots, const std::vector<Row>& rows) {
  std::map<std::size_t, std::size_t> files;
  for (const auto& row : rows)
    if (row.status == Status::matched && row.shot) ++files[*row.shot];
  return static_cast<int>(std::count_if(files.begin(), files.end(), [&](const auto& each) {
    return each.second < shots[each.first].files.size();
  }));
}

}  // namespace

std::string_view to_text(Status status) {
  switch (status) {
    case Status::matched:
      return "matched";
    case Status::by_hand:
      return "by hand";
    case Status::doubtful:
      return "doubtful";
    case Status::unreadable:
      return "unreadable";
    case Status::missing:
      break;
  }
  return "missing";
}

const BracketTaken* Collation::bracket_of(const shotlog::FrameName& frame) const {
  const auto found = brackets.find(set_of(frame));
  return found == brackets.end() ? nullptr : &found->second;
}

int Collation::count(Status status) const {
  return static_cast<int>(
      std::count_if(rows.begin(), rows.end(), [&](const Row& row) { return row.status == status; }));
}

Collation collate(Logged log, std::vector<Photo> photos) {
  Collation out{.photos = std::move(photos), .log = std::move(log)};
  Matcher matcher{out.log, out.photos};
  out.rows = matcher.match();
  out.clocks = matcher.clocks();
  std::set<std::size_t> there;
  for (const auto& row : out.rows)
    if (row.shot) there.insert(*row.shot);
  out.lone = lone_frames(out.log.shots, out.rows);
  out.brackets = brackets_of(out.log, there);
  for (std::size_t n = 0; n < out.log.shots.size(); ++n)
    if (out.log.shots[n].fired && !there.contains(n))
      out.rows.push_back({.status = Status::missing, .shot = n});
  const auto time = [&](const Row& row) {
    if (row.shot) return out.log.shots[*row.shot].opened;
    return row.at.value_or(Utc::max());
  };
  std::stable_sort(out.rows.begin(), out.rows.end(),
                   [&](const Row& a, const Row& b) { return time(a) < time(b); });
  return out;
}

}  // namespace noonfall::collate
