#include "lib/collate/matcher.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "lib/collate/reading_order.h"

namespace noonfall::collate {
namespace {

constexpr std::size_t sure = 4;  // so many can't go together by chance, if they are most of what there is

bool same_name(std::string_view a, std::string_view b) {
  const auto lower = [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; };
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [&](char one, char other) { return lower(one) == lower(other); });
}

bool left_file(const Shot& shot, const Photo& photo) {
  return std::any_of(shot.files.begin(), shot.files.end(),
                     [&](const std::string& file) { return same_name(base_name(file), photo.name()); });
}

double score(const ClockFit& fit) {
  return static_cast<double>(fit.pairs.size()) * (1 - fit.error.slack / 10);
}

}  // namespace

Matcher::Matcher(const Logged& log, const std::vector<Photo>& photos)
    : shots_{log.shots},
      photos_{photos},
      rig_of_{rigs_by_serial(log, photos)},
      holder_(shots_.size()),
      rows_(photos.size()) {
  if (!shots_.empty()) origin_ = floor<std::chrono::seconds>(shots_.front().opened);
  for (std::size_t n = 0; n < shots_.size(); ++n)
    openings_[shots_[n].frame.rig].push_back({n, seconds(shots_[n].opened), light_of(shots_[n].exposure)});
}

double Matcher::seconds(Utc instant) const {
  return in_seconds(instant - origin_);
}

Utc Matcher::instant(double seconds) const {
  return origin_ + from_seconds(seconds);
}

void Matcher::sort_into_rolls() {
  for (std::size_t n = 0; n < photos_.size(); ++n) {
    const auto& photo = photos_[n];
    rows_[n] = {.status = Status::unreadable, .photo = n, .why = photo.trouble};
    if (!photo.trouble.empty()) continue;
    rows_[n].why = "it doesn't say when it was taken";
    if (!photo.clock) continue;
    rows_[n] = {.status = Status::by_hand, .photo = n, .at = photo.clock};
    const auto grain = in_seconds(photo.grain);
    rolls_[photo.camera][photo.kind()].readings.push_back(
        {n, seconds(*photo.clock) + grain / 2, grain, light_of(photo)});
  }
  for (auto& [camera, rolls] : rolls_) {
    for (auto& [kind, roll] : rolls) {
      auto& readings = roll.readings;
      if (fraction_never_changes(readings)) {
        for (auto& each : readings) each = {each.photo, std::floor(each.clock) + 0.5, 1, each.light};
      }
      sort_by_clock_and_name(readings, photos_);
      roll.names_in_order = in_order(readings, photos_);
    }
  }
}

std::vector<Opening> Matcher::openings_for(const std::string& rig, const std::string& camera,
                                           const std::string& kind) const {
  std::vector<Opening> out;
  for (const auto& opening : openings_.at(rig))
    if (is_free(opening.shot, camera, kind)) out.push_back(opening);
  return out;
}

bool Matcher::is_free(std::size_t shot, const std::string& camera, const std::string& kind) const {
  if (!holder_[shot].empty() && holder_[shot] != camera) return false;
  return !file_of_.contains({shot, kind});
}

/// Any few pictures go with any few frames under some error: what counts is how many of either are left over.
bool Matcher::is_credible(const ClockFit& fit, const std::vector<Opening>& free, const Roll& roll,
                          const std::string& camera, const std::string& rig) const {
  const auto found = fit.pairs.size();
  if (found == 0) return false;
  const auto first = free[fit.pairs.front().opening].opened;
  const auto last = free[fit.pairs.back().opening].opened;
  const auto& all = openings_.at(rig);
  const auto between =
      static_cast<std::size_t>(std::count_if(all.begin(), all.end(), [&](const Opening& each) {
        return each.opened >= first && each.opened <= last && shots_[each.shot].fired;
      }));
  if (found >= sure) return 2 * found >= between || 5 * found >= 3 * roll.readings.size();
  const bool clock_was_right = std::abs(fit.error.ahead) <= 10;  // s; (no source)
  return clock_was_right && !stretches_.contains(camera) && 2 * found >= between;
}

bool Matcher::match_next_stretch() {
  const std::string* best_camera = nullptr;
  const std::string* best_rig = nullptr;
  const ClockFit* best = nullptr;
  for (auto& [camera, rolls] : rolls_) {
    for (auto& [kind, roll] : rolls) {
      for (const auto& [rig, all] : openings_) {
        if (!may_be_of(camera, rig)) continue;
        const auto [known, fresh] = roll.fits.try_emplace(rig);
        auto& fit = known->second;
        if (fresh) {
          const auto free = openings_for(rig, camera, kind);
          fit = find_clock_error(roll.readings, free);
          if (fit && !is_credible(*fit, free, roll, camera, rig)) fit.reset();
        }
        if (!fit || (best != nullptr && score(*fit) <= score(*best))) continue;
        best_camera = &camera;
        best_rig = &rig;
        best = &*fit;
      }
    }
  }
  if (best == nullptr) return false;
  take(*best_camera, *best_rig, ClockFit{*best});
  return true;
}

void Matcher::take(const std::string& camera, const std::string& rig, const ClockFit& fit) {
  const auto& error = fit.error;
  Stretch stretch{{camera, rig, Utc::max(), Utc::min()}, error, INFINITY, -INFINITY};
  const auto worth = [this](std::size_t photo, std::size_t shot) { return bonus(photo, shot); };
  for (auto& [kind, roll] : rolls_.at(camera)) {
    const auto openings = openings_for(rig, camera, kind);
    const auto pairs = pair_up(roll.readings, openings, error, worth);
    for (const auto& pair : pairs) {
      auto& reading = roll.readings[pair.reading];
      const auto shot = openings[pair.opening].shot;
      const std::string doubt = fit.pairs.size() < sure ? "too few pictures speak for its clock's error"
                                : is_told_apart(roll, openings, pair, reading, error)
                                    ? ""
                                    : "its clock doesn't tell frames of the same settings apart";
      give(reading.photo, shot, doubt.empty() ? Status::matched : Status::doubtful, doubt);
      rows_[reading.photo].at = instant(error.opened_at(reading.clock));
      stretch.first = std::min(stretch.first, reading.clock);
      stretch.last = std::max(stretch.last, reading.clock);
      stretch.clock.from = std::min(stretch.clock.from, shots_[shot].opened);
      stretch.clock.until = std::max(stretch.clock.until, shots_[shot].opened);
      ++stretch.clock.photos;
      reading.grain = -1;  // done with
    }
    std::erase_if(roll.readings, [](const Reading& each) { return each.grain < 0; });
    roll.fits.clear();
  }
  for (auto& [other, rolls] : rolls_)
    for (auto& [kind, roll] : rolls) roll.fits.erase(rig);
  const auto since = seconds(stretch.clock.from) - error.from;
  stretch.clock.ahead = from_seconds(error.ahead + error.rate * since);
  stretch.clock.gains_s = error.rate * 86'400;
  stretches_[camera].push_back(std::move(stretch));
}

double Matcher::bonus(std::size_t photo, std::size_t shot) const {
  return left_file(shots_[shot], photos_[photo]) ? 1 : 0;
}

/// Whether no other frame would do as well, or the names say which.
bool Matcher::is_told_apart(const Roll& roll, const std::vector<Opening>& openings, const Pair& pair,
                            const Reading& reading, const ClockError& error) const {
  const auto own = ClockError::beyond(reading, pair.off);
  const auto at = error.opened_at(reading.clock);
  if (roll.names_in_order || left_file(shots_[openings[pair.opening].shot], photos_[reading.photo]))
    return true;
  const auto would_do = [&](const Opening& other) {
    return other.light.fits(reading.light) &&
           ClockError::beyond(reading, at - other.opened) <= own + error.slack / 4;
  };
  const bool before = pair.opening > 0 && would_do(openings[pair.opening - 1]);
  return !before && !(pair.opening + 1 < openings.size() && would_do(openings[pair.opening + 1]));
}

void Matcher::give(std::size_t photo, std::size_t shot, Status status, std::string why) {
  rows_[photo].status = status;
  rows_[photo].shot = shot;
  rows_[photo].why = std::move(why);
  holder_[shot] = photos_[photo].camera;
  file_of_.try_emplace({shot, photos_[photo].kind()}, photo);
}

/// A frame that is near enough, but for the settings, or whose file has this name.
void Matcher::take_guess(const Photo& photo, const std::string& kind, const Reading& reading,
                         const Stretch& stretch) {
  constexpr double near_name = 300;  // s
  const auto at = stretch.error.opened_at(reading.clock);
  const auto& all = openings_.at(stretch.clock.rig);
  auto near = std::lower_bound(all.begin(), all.end(), at - near_name,
                               [](const Opening& each, double instant) { return each.opened < instant; });
  for (; near != all.end() && near->opened <= at + near_name; ++near) {
    const auto off = std::abs(at - near->opened);
    const bool named = off <= near_name && left_file(shots_[near->shot], photo);
    if (!named && off > reading.grain / 2 + stretch.error.slack) continue;
    if (!is_free(near->shot, photo.camera, kind)) continue;
    give(
        reading.photo, near->shot, Status::doubtful,
        named ? "it has the name of this frame's file, but not its time" : "its settings aren't the frame's");
    return;
  }
}

void Matcher::take_rest(const std::string& camera, const std::string& kind, const Reading& reading) {
  const auto& photo = photos_[reading.photo];
  const auto known = stretches_.find(camera);
  if (known == stretches_.end()) return;
  const auto distance = [&](const Stretch& each) {
    return std::max({0.0, each.first - reading.clock, reading.clock - each.last});
  };
  const auto& stretch =
      *std::min_element(known->second.begin(), known->second.end(),
                        [&](const Stretch& a, const Stretch& b) { return distance(a) < distance(b); });
  rows_[reading.photo].at = instant(stretch.error.opened_at(reading.clock));
  const auto copied = std::find_if(file_of_.begin(), file_of_.end(), [&](const auto& each) {
    const auto& other = photos_[each.second];
    return each.first.second == kind && other.camera == camera && other.clock == photo.clock &&
           light_of(other).fits(light_of(photo));
  });
  // Of a clock with whole seconds only, two pictures of one second are no copies.
  if (copied != file_of_.end() && reading.grain < 1)
    return give(reading.photo, copied->first.first, Status::doubtful,
                fmt::format("it seems to be a copy of {}", photos_[copied->second].file));
  take_guess(photo, kind, reading, stretch);
}

/// What tells no time may have kept its name, if only one frame had that.
void Matcher::take_by_name() {
  for (auto& row : rows_) {
    const auto& photo = photos_[*row.photo];
    if (photo.clock || !photo.trouble.empty()) continue;
    const auto known = stretches_.find(photo.camera);
    const auto named = [&](const Shot& shot) {
      const bool rig_fits = known == stretches_.end() ||
                            std::any_of(known->second.begin(), known->second.end(), [&](const Stretch& each) {
                              return each.clock.rig == shot.frame.rig;
                            });
      return rig_fits && may_be_of(photo.camera, shot.frame.rig) && left_file(shot, photo);
    };
    const auto shot = std::find_if(shots_.begin(), shots_.end(), named);
    if (shot == shots_.end() || std::any_of(shot + 1, shots_.end(), named)) continue;
    const auto n = static_cast<std::size_t>(shot - shots_.begin());
    if (!file_of_.contains({n, photo.kind()}))
      give(*row.photo, n, Status::doubtful, "only its name says so: it tells no time");
  }
}

std::vector<Row> Matcher::match() {
  sort_into_rolls();
  while (match_next_stretch()) {
  }
  for (const auto& [camera, rolls] : rolls_) {
    for (const auto& [kind, roll] : rolls)
      for (const auto& reading : roll.readings) take_rest(camera, kind, reading);
  }
  take_by_name();
  return std::move(rows_);
}

std::vector<CameraClock> Matcher::clocks() const {
  std::vector<CameraClock> out;
  for (const auto& [camera, stretches] : stretches_)
    for (const auto& stretch : stretches) out.push_back(stretch.clock);
  std::stable_sort(out.begin(), out.end(), [](const CameraClock& a, const CameraClock& b) {
    return std::pair{a.camera, a.from} < std::pair{b.camera, b.from};
  });
  return out;
}

}  // namespace noonfall::collate
