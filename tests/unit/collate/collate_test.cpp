// Photographs against the log of a rehearsal whose bodies remember what they really took: the truth is the
// simulated bodies', the log is what their hosts came to know.
#include <algorithm>
#include <map>

#include <doctest/doctest.h>

#include "tests/unit/collate/day.h"

using namespace noonfall;
using namespace noonfall::tests;
using namespace std::chrono_literals;
using collate::Status;

namespace {

shotlog::Replayed as_log(std::vector<shotlog::Line> lines) {
  shotlog::Replayed log;
  log.lines = std::move(lines);
  return log;
}

collate::Collation collated(const std::vector<Truth>& roll) {
  return collate::collate(collate::logged({as_log(demo_day().rehearsed.lines)}), photos_of(roll));
}

std::vector<Truth> together(std::vector<Truth> a, const std::vector<Truth>& b) {
  a.insert(a.end(), b.begin(), b.end());
  return a;
}

const Duration behind = -(1h + 17'300ms);

}  // namespace

TEST_CASE("clocks an hour wrong that drift, files lost, strange and shuffled: every file finds its place") {
  for (const unsigned seed : {1U, 2U, 3U, 4U}) {
    CAPTURE(seed);
    std::mt19937 luck{seed};
    const Camera first{"mirrorless 1", clock_with(behind, -2)};
    const Camera second{"mirrorless 2", clock_with(3min + 400ms, 1.5)};
    auto roll = roll_of(demo_day(), 0, first);
    const auto all_of_first = roll.size();
    lose(roll, 0.03, luck);
    const auto lost = all_of_first - roll.size();
    const auto ordered = roll.size();
    add_by_hand(roll, 0.02, first, luck);
    const auto strange = roll.size() - ordered;
    const auto other = roll_of(demo_day(), 1, second);
    roll = together(std::move(roll), other);
    rename(roll, luck);
    const auto all = collated(roll);
    const auto found = score(all, roll);
    CHECK(found.wrong == 0);
    CHECK(found.not_recognised == 0);
    CHECK(found.right + found.doubtful == static_cast<int>(ordered + other.size()));
    CHECK(found.by_hand == static_cast<int>(strange));
    CHECK(found.missing == static_cast<int>(lost));
    REQUIRE(all.clocks.size() == 2);
    CHECK(std::abs(in_seconds(all.clocks[0].ahead - behind)) < 0.02);
    CHECK(std::abs(all.clocks[0].gains_s + 2) < 0.1);
    CHECK(all.clocks[0].rig == "long");
    CHECK(std::abs(in_seconds(all.clocks[1].ahead) - 180.4) < 0.1);
    CHECK(all.clocks[1].rig == "landscape");
  }
}

TEST_CASE("a clock that is set in the middle is two clocks") {
  const auto set_at = demo_day().rehearsed.taken[0][400].opened + 1ms;
  const auto before = clock_with(behind, 3);
  const auto after = clock_with(Duration{-9'876'543'210'000}, 3);  // to the date of its making, years ago
  const Camera camera{"m", [&](Utc utc) { return utc < set_at ? before(utc) : after(utc); }};
  auto roll = roll_of(demo_day(), 0, camera);
  std::mt19937 luck{7};
  lose(roll, 0.03, luck);
  rename(roll, luck);
  const auto all = collated(roll);
  const auto found = score(all, roll);
  CHECK(found.right == static_cast<int>(roll.size()));
  CHECK(found.wrong == 0);
  REQUIRE(all.clocks.size() == 2);
  CHECK(all.clocks[0].until < set_at);
  CHECK(all.clocks[1].from > set_at);
  CHECK(std::abs(in_seconds(all.clocks[1].ahead) + 9'876'543.21) < 0.2);
}

TEST_CASE("a clock of whole seconds: names that were kept tell frames of one second apart") {
  const Camera camera{"m", clock_with(behind, -2), 1s};
  auto roll = roll_of(demo_day(), 0, camera);
  const auto kept = score(collated(roll), roll);
  CHECK(kept.right == static_cast<int>(roll.size()));
  // Renamed, they can't be told apart within a second, and say so.
  std::mt19937 luck{7};
  rename(roll, luck);
  const auto all = collated(roll);
  const auto lost = score(all, roll);
  CHECK(lost.wrong == 0);
  CHECK(lost.doubtful > 100);
  CHECK(lost.right + lost.doubtful == static_cast<int>(roll.size()));
  CHECK(lost.right > 250);
}

TEST_CASE("a fraction that never changes is none") {
  const Camera camera{"m", clock_with(behind, -2), 1s};
  auto roll = roll_of(demo_day(), 0, camera);
  for (auto& each : roll) each.photo.grain = 10ms;  // it writes ".00" behind every second
  const auto found = score(collated(roll), roll);
  CHECK(found.right == static_cast<int>(roll.size()));
}

TEST_CASE("raw and JPEG of a frame are both its own, and a frame that lacks one of them is counted") {
  const Camera camera{"m", clock_with(behind, -2)};
  auto roll = roll_of(demo_day(), 0, camera);
  const auto frames = roll.size();
  for (std::size_t n = 0; n < frames; ++n) {
    auto jpeg = roll[n];
    jpeg.photo.file.replace(jpeg.photo.file.size() - 3, 3, "JPG");
    roll.push_back(std::move(jpeg));
  }
  auto lines = demo_day().rehearsed.lines;
  for (auto& line : lines) {
    auto* outcome = std::get_if<shotlog::FrameOutcome>(&line.entry);
    if (outcome == nullptr || outcome->files.empty()) continue;
    auto jpeg = outcome->files.front();
    outcome->files.push_back(jpeg.replace(jpeg.size() - 3, 3, "JPG"));
  }
  std::mt19937 luck{3};
  rename(roll, luck);
  const auto pop = [&](std::size_t n) { roll.erase(roll.begin() + static_cast<std::ptrdiff_t>(n)); };
  pop(5);
  pop(500);
  const auto all = collate::collate(collate::logged({as_log(lines)}), photos_of(roll));
  const auto found = score(all, roll);
  CHECK(found.right == static_cast<int>(2 * frames - 2));
  CHECK(found.wrong == 0);
  CHECK(all.lone == 2);
}

TEST_CASE("two cameras that name themselves nowhere are told apart by what they took") {
  const Camera camera{"", clock_with(behind, -2)};
  auto roll = together(roll_of(demo_day(), 0, camera), roll_of(demo_day(), 1, camera));
  std::mt19937 luck{11};
  rename(roll, luck);
  const auto found = score(collated(roll), roll);
  CHECK(found.wrong == 0);
  CHECK(found.right + found.doubtful == static_cast<int>(roll.size()));
  CHECK(found.doubtful < 100);
}

TEST_CASE(
    "two rigs that did the same at the same time are told apart by the serial numbers of their bodies") {
  auto lines = shotlog::replay(demo_day().rehearsed.log).lines;
  const auto of_long = [](const shotlog::Line& line) {
    const auto* outcome = std::get_if<shotlog::FrameOutcome>(&line.entry);
    return outcome != nullptr && outcome->frame.rig == "long";
  };
  std::vector<shotlog::Line> twins{lines.front()};
  std::copy_if(lines.begin(), lines.end(), std::back_inserter(twins), of_long);
  auto& header = std::get<shotlog::Header>(twins.front().entry);
  header.rigs = {{.rig = "long", .body = "m", .serial = "0072"},
                 {.rig = "twin", .body = "m", .serial = "71"}};
  for (std::size_t n = twins.size() - 1; n > 0; --n) {
    twins.push_back(twins[n]);
    std::get<shotlog::FrameOutcome>(twins.back().entry).frame.rig = "twin";
  }
  // Names begin at one number on both cards, and both clocks are right.
  std::vector<Truth> roll;
  for (const auto* serial : {"71", "72"}) {
    for (auto& each : roll_of(demo_day(), 0, {std::string{"m "} + serial, clock_with(0s, 0)})) {
      each.photo.serial = serial;
      each.photo.file = serial + ("/" + each.photo.file);
      each.rig = each.photo.serial == "72" ? "long" : "twin";
      roll.push_back(std::move(each));
    }
  }
  const auto found = score(collate::collate(collate::logged({as_log(twins)}), photos_of(roll)), roll);
  CHECK(found.right == static_cast<int>(roll.size()));
  CHECK(found.wrong == 0);
  for (auto& each : roll) each.photo.serial.clear();  // and without them they are anybody's
  const auto blind = score(collate::collate(collate::logged({as_log(twins)}), photos_of(roll)), roll);
  CHECK(blind.right < static_cast<int>(roll.size()));
}

TEST_CASE("pictures of a stranger's camera are by hand, whatever they look like") {
  const Camera own{"m", clock_with(behind, -2)};
  auto roll = roll_of(demo_day(), 0, own);
  std::mt19937 luck{5};
  lose(roll, 0.03, luck);
  const Camera stranger{"pocket", clock_with(12min, 0)};
  auto strange = roll_of(demo_day(), 0, own);
  std::vector<Truth> bursts;
  for (std::size_t n = 0; n < 60; ++n) {  // three bursts, with settings of frames that were lost
    auto each = strange[n];
    each.rig.clear();
    each.opened = strange[90 + 190 * (n / 20)].opened + (n % 20) * 90ms;
    each.photo.camera = stranger.name;
    each.photo.clock = stranger.clock(each.opened);
    each.photo.file = "strange" + std::to_string(n) + ".JPG";
    bursts.push_back(std::move(each));
  }
  roll = together(std::move(roll), bursts);
  const auto found = score(collated(roll), roll);
  CHECK(found.wrong == 0);
  CHECK(found.by_hand == 60);
}

TEST_CASE("few pictures kept of many find their places") {
  const Camera camera{"m", clock_with(behind, -2)};
  auto roll = roll_of(demo_day(), 0, camera);
  std::mt19937 luck{5};
  lose(roll, 0.96, luck);
  rename(roll, luck);
  const auto found = score(collated(roll), roll);
  CHECK(found.right == static_cast<int>(roll.size()));
  CHECK(found.wrong == 0);
}

TEST_CASE("copies, and pictures that tell no time but kept their name, are doubtful, with the frame") {
  const Camera camera{"m", clock_with(behind, -2)};
  auto roll = roll_of(demo_day(), 0, camera);
  auto copy = roll[10];
  copy.photo.file = "copy.RAW";
  roll[20].photo.clock.reset();
  auto nameless = roll[21];
  nameless.photo.file = "what.RAW";
  nameless.photo.clock.reset();
  roll.push_back(copy);
  roll.push_back(nameless);
  roll.push_back({{"empty.jpg", "", {}, 1s, {}, {}, {}, "it is empty"}, "", {}});
  const auto all = collated(roll);
  std::map<std::string, std::pair<Status, std::string>> said;
  for (const auto& row : all.rows)
    if (row.photo) said[all.photos[*row.photo].file] = {row.status, row.why};
  using Said = std::pair<Status, std::string>;
  CHECK((said["copy.RAW"] == Said{Status::doubtful, "it seems to be a copy of " + roll[10].photo.file} ||
         said[roll[10].photo.file] == Said{Status::doubtful, "it seems to be a copy of copy.RAW"}));
  CHECK(said[roll[20].photo.file] == Said{Status::doubtful, "only its name says so: it tells no time"});
  CHECK(said["what.RAW"] == Said{Status::unreadable, "it doesn't say when it was taken"});
  CHECK(said["empty.jpg"] == Said{Status::unreadable, "it is empty"});
  for (const auto& row : all.rows) {
    if (row.status == Status::missing) CHECK(all.log.shots[*row.shot].frame.rig == "landscape");
  }
}

TEST_CASE("without a log's frames every picture is by hand, without pictures every frame is missing") {
  const auto roll = roll_of(demo_day(), 0, {"m", clock_with(behind, -2)});
  CHECK(collate::collate({}, photos_of(roll)).count(Status::by_hand) == static_cast<int>(roll.size()));
  const auto none = collated({});
  CHECK(none.count(Status::missing) == static_cast<int>(none.log.shots.size()));
}

TEST_CASE("a bracket is complete or broken, and tells what it covers") {
  auto roll = roll_of(demo_day(), 0, {"m", clock_with(behind, -2)});
  const auto whole = collated(roll);
  const shotlog::FrameName set{"long", "corona in", 2, 0};
  const auto& complete = whole.brackets.at(set);
  CHECK(complete.complete());
  REQUIRE(complete.covers);
  const auto longest = complete.covers->second;
  // The longest exposure of that set is lost.
  std::erase_if(roll, [&](const Truth& each) {
    const auto row = std::find_if(whole.rows.begin(), whole.rows.end(), [&](const collate::Row& candidate) {
      return candidate.photo && whole.photos[*candidate.photo].file == each.photo.file;
    });
    const auto& shot = whole.log.shots[*row->shot];
    return shot.frame.step == set.step && shot.frame.set == set.set && shot.exposure == longest;
  });
  const auto less = collated(roll);
  const auto& broken = less.brackets.at(set);
  CHECK_FALSE(broken.complete());
  CHECK(broken.there == complete.there - 1);
  CHECK(broken.frames == complete.frames);
  CHECK(broken.covers->first == complete.covers->first);
  CHECK(broken.covers->second != longest);
}

TEST_CASE("the log and its copy, cut short, are one account") {
  auto cut = demo_day().rehearsed.lines;
  cut.resize(cut.size() / 2);
  const auto once = collate::logged({as_log(demo_day().rehearsed.lines)});
  CHECK(collate::logged({as_log(demo_day().rehearsed.lines), as_log(cut)}).shots == once.shots);
  CHECK(collate::logged({as_log(cut), as_log(demo_day().rehearsed.lines)}).shots == once.shots);
}

TEST_CASE("three pictures with a clock that is right are doubtful, with one that is wrong by hand") {
  for (const auto& [ahead, status] :
       {std::pair{Duration{2s}, Status::doubtful}, std::pair{behind, Status::by_hand}}) {
    auto roll = roll_of(demo_day(), 0, {"m", clock_with(ahead, 0)});
    roll.resize(3);
    for (auto& each : roll) each.photo.file = "x" + each.photo.file.substr(each.photo.file.size() - 5);
    CHECK(collated(roll).count(status) == 3);
  }
}

TEST_CASE("names that start again after 9999 stand for the frames of their time") {
  const Camera camera{"m", clock_with(behind, -2), 1s};
  auto roll = roll_of(demo_day(), 0, camera);
  auto lines = demo_day().rehearsed.lines;
  // DCF (CIPA DC-009): 9999 is followed by 0001. Here that comes amid a burst, within a second of its clock,
  // and each number again 450 later.
  const auto renamed = [](const std::string& file) {
    const auto digits = file.find_last_of("0123456789");
    const auto number = std::stoi(file.substr(digits - 3, 4));
    return file.substr(0, digits - 3) +
           std::to_string(10'000 + (number <= 150 ? 9849 + number : (number - 151) % 450 + 1)).substr(1) +
           file.substr(digits + 1);
  };
  for (auto& line : lines)
    if (auto* outcome = std::get_if<shotlog::FrameOutcome>(&line.entry))
      for (auto& file : outcome->files) file = renamed(file);
  // Folders differ, so that paths do.
  for (std::size_t n = 0; n < roll.size(); ++n)
    roll[n].photo.file = std::to_string(n) + "/" + renamed(roll[n].photo.file);
  const auto all = collate::collate(collate::logged({as_log(lines)}), photos_of(roll));
  const auto found = score(all, roll);
  CHECK(found.right == static_cast<int>(roll.size()));
  CHECK(found.wrong == 0);
}
