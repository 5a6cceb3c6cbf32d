#include "tests/unit/collate/day.h"

#include <algorithm>
#include <map>

#include <doctest/doctest.h>

#include "daemon/load/plan_loading.h"
#include "tests/source_folder.h"

namespace noonfall::tests {

using namespace std::chrono_literals;

const Day& demo_day() {
  static const auto day = [] {
    auto loaded =
        load::load_plan({NOONFALL_SOURCE "/plans/two-rigs-2027.yaml", {}, built_in_leap_seconds(), {}, {}});
    REQUIRE(loaded.timeline);
    sim::RehearsalSetup setup;
    setup.timeline = *loaded.timeline;
    Day made;
    for (const auto& rig : setup.timeline.rigs) made.rigs.push_back(rig.name);
    made.rehearsed = sim::rehearse(setup);
    return made;
  }();
  return day;
}

std::function<Utc(Utc)> clock_with(Duration ahead, double gains_s_a_day) {
  const auto from = demo_day().rehearsed.taken.front().front().opened;
  return [=](Utc utc) { return utc + ahead + from_seconds(in_seconds(utc - from) / 86'400 * gains_s_a_day); };
}

std::vector<Truth> roll_of(const Day& day, std::size_t rig, const Camera& camera) {
  std::vector<Truth> roll;
  for (const auto& frame : day.rehearsed.taken[rig]) {
    const auto shown = camera.clock(frame.opened).time_since_epoch() / camera.grain * camera.grain;
    for (const auto& file : frame.files) {
      roll.push_back({{file,
                       camera.name,
                       Utc{shown},
                       camera.grain,
                       frame.exposure.shutter,
                       frame.exposure.aperture,
                       frame.exposure.iso,
                       {}},
                      day.rigs[rig],
                      frame.opened});
    }
  }
  return roll;
}

void lose(std::vector<Truth>& roll, double share, std::mt19937& luck) {
  std::shuffle(roll.begin(), roll.end(), luck);
  roll.resize(roll.size() - static_cast<std::size_t>(static_cast<double>(roll.size()) * share));
}

void add_by_hand(std::vector<Truth>& roll, double share, const Camera& camera, std::mt19937& luck) {
  const auto [first, last] = std::minmax_element(
      roll.begin(), roll.end(), [](const Truth& a, const Truth& b) { return a.opened < b.opened; });
  const auto from = first->opened;
  std::uniform_int_distribution<std::int64_t> when{0, (last->opened - from).count()};
  const auto count = static_cast<std::size_t>(static_cast<double>(roll.size()) * share);
  for (std::size_t n = 0; n < count; ++n) {
    auto like = roll[luck() % (roll.size() - n)];
    like.rig.clear();
    like.opened = from + Duration{when(luck)};
    like.photo.clock = Utc{camera.clock(like.opened).time_since_epoch() / camera.grain * camera.grain};
    like.photo.file = "by-hand-" + std::to_string(n) + ".RAW";
    roll.push_back(std::move(like));
  }
}

void rename(std::vector<Truth>& roll, std::mt19937& luck) {
  std::shuffle(roll.begin(), roll.end(), luck);
  for (std::size_t n = 0; n < roll.size(); ++n)
    roll[n].photo.file = "x" + std::to_string(n) + "." + roll[n].photo.kind();
}

std::vector<collate::Photo> photos_of(const std::vector<Truth>& roll) {
  std::vector<collate::Photo> photos;
  for (const auto& each : roll) photos.push_back(each.photo);
  return photos;
}

Score score(const collate::Collation& all, const std::vector<Truth>& roll) {
  Score score;
  std::map<std::string, const Truth*> truths;
  for (const auto& each : roll) truths[each.photo.file] = &each;
  for (const auto& row : all.rows) {
    if (row.status == collate::Status::missing) ++score.missing;
    if (row.status == collate::Status::doubtful) ++score.doubtful;
    if (!row.photo) continue;
    const auto& truth = *truths.at(all.photos[*row.photo].file);
    if (row.status == collate::Status::by_hand) ++(truth.rig.empty() ? score.by_hand : score.not_recognised);
    if (row.status != collate::Status::matched) continue;
    const auto& shot = all.log.shots[*row.shot];
    // The log is within a few milliseconds of what the body did; frames are further apart.
    const bool own = shot.frame.rig == truth.rig && std::chrono::abs(shot.opened - truth.opened) < 20ms;
    ++(own ? score.right : score.wrong);
  }
  return score;
}

}  // namespace noonfall::tests
