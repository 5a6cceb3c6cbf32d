// noonfall collate as a user's shell runs it, on the files that the bodies of a rehearsal would have left,
// with Exif. The sidecars are read by ExifTool and xmllint (Debian), which share no code with what wrote
// them.
#include <cmath>
#include <filesystem>
#include <fstream>
#include <map>
#include <sstream>

#include <doctest/doctest.h>

#include "daemon/pictures/photograph.h"
#include "lib/time/utc_text.h"
#include "tests/program/run_program.h"
#include "tests/unit/collate/day.h"

using namespace noonfall;
using namespace noonfall::tests;
using namespace std::chrono_literals;
namespace fs = std::filesystem;

namespace {

constexpr auto header =
    "file,status,rig,step,set,frame,due_utc,opened_utc,photo_utc,off_s,shutter,aperture,iso,bracket";

Ran noonfall_program(const std::string& arguments) {
  return run_program(NOONFALL_PROGRAM, arguments);
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

std::string log_in(const ScratchFolder& folder) {
  return folder.file("shots.jsonl", demo_day().rehearsed.log);
}

/// The picture as a file; its path becomes the truth's name.
void develop(const fs::path& folder, Truth& truth) {
  static const auto grey = pictures::to_jpeg(std::vector<std::uint8_t>(8 * 8 * 3, 99), 8, 8);
  const auto& photo = truth.photo;
  pictures::ExifFacts facts;
  facts.maker = "Noonfall";
  facts.model = photo.camera;
  facts.clock = *photo.clock;
  facts.zone = 2h;
  facts.subsec_digits = photo.grain == 1s ? 0 : 2;
  facts.exposure = {*photo.shutter, photo.aperture, *photo.iso};
  facts.width = facts.height = 8;
  const auto path = folder / fs::path{photo.file}.filename();
  std::ofstream{path, std::ios::binary} << pictures::with_exif(grey, facts);
  truth.photo.file = path.string();
}

std::vector<Truth> developed(const ScratchFolder& folder, std::vector<Truth> roll) {
  fs::create_directories(folder.path("card"));
  for (auto& each : roll) develop(folder.path("card"), each);
  return roll;
}

/// By column; no cell of these tables is quoted.
std::vector<std::map<std::string, std::string>> table_of(const std::string& csv) {
  std::istringstream lines{csv};
  std::string line;
  std::getline(lines, line);
  CHECK(line == header);
  const auto cells = [](const std::string& text) {
    std::vector<std::string> out;
    std::istringstream row{text + ","};
    for (std::string each; std::getline(row, each, ',');) out.push_back(each);
    return out;
  };
  const auto names = cells(line);
  std::vector<std::map<std::string, std::string>> rows;
  while (std::getline(lines, line)) {
    const auto values = cells(line);
    REQUIRE(values.size() == names.size());
    auto& row = rows.emplace_back();
    for (std::size_t n = 0; n < names.size(); ++n) row[names[n]] = values[n];
  }
  return rows;
}

std::map<std::string, std::string> contents(const std::string& folder) {
  std::map<std::string, std::string> out;
  for (const auto& entry : fs::recursive_directory_iterator{folder})
    if (entry.is_regular_file()) out[entry.path().string()] = text_of_file(entry.path().string());
  return out;
}

}  // namespace

TEST_CASE("from a card with a wrong clock, shuffled names, losses and strangers to a table, whole") {
  const ScratchFolder folder;
  std::mt19937 luck{20270802};
  const Camera camera{"mirrorless 1", clock_with(-(1h + 17'300ms), 2)};
  auto roll = roll_of(demo_day(), 0, camera);
  const auto ordered = roll.size();
  lose(roll, 0.03, luck);
  const auto lost = ordered - roll.size();
  add_by_hand(roll, 0.02, camera, luck);
  rename(roll, luck);
  for (auto& each : roll) each.photo.file += ".jpg";
  roll = developed(folder, roll);
  const auto card = contents(folder.path("card"));
  const auto ran =
      noonfall_program("collate " + log_in(folder) + " --photos " + folder.path("card") + " --manifest " +
                       folder.path("all.csv") + " --manifest " + folder.path("all.json"));
  CAPTURE(ran.out);
  const auto count = std::to_string(roll.size());
  CHECK(ran.err.ends_with("  " + count + " of " + count + " files: read\n"));
  CHECK(ran.exit == 0);
  CHECK(contents(folder.path("card")) == card);
  const auto says = ran.out.substr(ran.out.find("its clock 1 h 17."), 60);
  CHECK(std::abs(std::stod(says.substr(14)) - 17.3) < 0.02);
  CHECK(has(says, " s behind, gaining 2.0 s a day\n"));
  std::map<std::string, const Truth*> truths;
  for (const auto& each : roll) truths[each.photo.file] = &each;
  std::size_t missing = 0;
  for (const auto& row : table_of(text_of_file(folder.path("all.csv")))) {
    CAPTURE(row.at("file"));
    if (row.at("file").empty()) {
      CHECK(row.at("status") == "missing");
      if (row.at("rig") == "long") ++missing;
      continue;
    }
    const auto truth = truths.find(row.at("file"));
    REQUIRE(truth != truths.end());
    const auto& of = *truth->second;
    CHECK(row.at("status") == (of.rig.empty() ? "by hand" : "matched"));
    CHECK(row.at("shutter") == exposure::to_text(*of.photo.shutter));
    CHECK(row.at("iso") == std::to_string(of.photo.iso->value));
    const auto taken = parse_utc(row.at("photo_utc"));
    REQUIRE(taken);
    // A last digit of 10 ms, and what the line through all of them leaves.
    CHECK(std::chrono::abs(*taken - of.opened) < 40ms);
    if (!of.rig.empty()) {
      CHECK(std::chrono::abs(*parse_utc(row.at("opened_utc")) - of.opened) < 20ms);
      CHECK(std::abs(std::stod(row.at("off_s"))) < 0.06);
    }
    truths.erase(truth);
  }
  CHECK(truths.empty());
  CHECK(missing == lost);
  CHECK(has(text_of_file(folder.path("all.json")), "\"gains_s_a_day\""));
  const auto again = noonfall_program("collate " + log_in(folder) + " --photos " + folder.path("card") +
                                      " --manifest " + folder.path("all.csv"));
  CHECK(again.exit == 3);
  CHECK(has(again.err, "it exists already"));
}

TEST_CASE("sidecars and links say which frame a picture is, and never take another's place") {
  const ScratchFolder folder;
  auto roll = roll_of(demo_day(), 0, {"mirrorless 1", clock_with(3min, 0)});
  for (auto& each : roll) each.photo.file += ".jpg";
  roll = developed(folder, roll);
  const auto card = contents(folder.path("card"));
  const auto mine = folder.file("card/NOON0001.RAW.jpg.xmp", "my own notes");
  const auto line = "collate " + log_in(folder) + " --photos " + folder.path("card") + " --sidecars --sort " +
                    folder.path("sorted");
  const auto ran = noonfall_program(line);
  CAPTURE(ran.err);
  REQUIRE(ran.exit == 0);
  CHECK(has(ran.out, "\n" + std::to_string(roll.size() - 1) +
                         " sidecars written, 1 were there already and stay as they are.\n"));
  CHECK(text_of_file(mine) == "my own notes");
  for (const auto& [path, bytes] : card) CHECK(text_of_file(path) == bytes);
  const auto links = fs::path{folder.path("sorted")} / "long" / "corona in" / "00002";
  std::vector<std::string> names;
  for (const auto& entry : fs::directory_iterator{links}) {
    CHECK(entry.is_symlink());
    CHECK(card.contains(fs::read_symlink(entry.path()).string()));
    names.push_back(entry.path().filename().string());
  }
  std::sort(names.begin(), names.end());
  CHECK(names.size() == 7);
  CHECK(names.front().starts_with("001 1-"));
  const auto picture = fs::read_symlink(links / names.front()).string();
  if (run_program("/usr/bin/exiftool", "-ver").exit == 0) {
    const auto said = run_program("/usr/bin/exiftool",
                                  "-s -s -s -XMP-dc:Title -XMP-noonfall:Step -XMP-noonfall:Set "
                                  "-XMP-noonfall:Frame -XMP-noonfall:Bracket " +
                                      picture + ".xmp");
    CHECK(said.out == "corona in 2.1, long\ncorona in\n2\n1\ncomplete\n");
  }
  // The library's own program reads what the library wrote; xmllint knows XML alone.
  if (fs::exists("/usr/bin/exiv2"))
    CHECK(has(run_program("/usr/bin/exiv2", "-PXkt " + picture + ".xmp").out,
              "lang=\"x-default\" corona in 2.1, long\n"));
  if (fs::exists("/usr/bin/xmllint"))
    CHECK(run_program("/usr/bin/xmllint", "--noout " + picture + ".xmp").exit == 0);
  const auto again = noonfall_program(line);
  CHECK(again.exit == 0);
  CHECK(has(again.out, "\n0 sidecars written, "));
  CHECK(has(again.out, "\n0 links made in "));
}

TEST_CASE("what is no photograph is named, and the rest goes on") {
  const ScratchFolder folder;
  auto roll = roll_of(demo_day(), 0, {"mirrorless 1", clock_with(3min, 0)});
  roll.resize(40);
  for (auto& each : roll) each.photo.file += ".jpg";
  developed(folder, roll);
  folder.file("card/zero.jpg", "");
  folder.file("card/notes.txt", "first light\n");
  folder.file("card/random.jpg", std::string(5000, '\x5A'));
  fs::copy_file(folder.path("card/NOON0003.RAW.jpg"), folder.path("card/copy.jpg"));
  const auto ran = noonfall_program("collate " + log_in(folder) + " --photos " + folder.path("card") +
                                    " --manifest " + folder.path("all.csv"));
  CAPTURE(ran.out);
  CHECK(ran.exit == 0);
  CHECK(ran.out.starts_with("44 files: 40 matched, 0 by hand, 1 doubtful, 3 unreadable."));
  CHECK(has(ran.out, "zero.jpg: it is empty\n"));
  CHECK(has(ran.out, "notes.txt: it is no photograph of a known format\n"));
  CHECK(has(ran.out, "random.jpg: it is no photograph of a known format\n"));
  CHECK(has(ran.out, "it seems to be a copy of "));
}

TEST_CASE("wrong words, missing files and logs that are none have the exit codes of every command") {
  const ScratchFolder folder;
  const auto log = log_in(folder);
  CHECK(noonfall_program("collate " + log).exit == 2);
  CHECK(noonfall_program("collate " + log + " --photos . --manifest all.txt").exit == 2);
  const auto nowhere = noonfall_program("collate " + log + " --photos ./nowhere");
  CHECK(nowhere.exit == 3);
  CHECK(has(nowhere.err, "can't read ./nowhere: No such file or directory"));
  CHECK(noonfall_program("collate ./nowhere.jsonl --photos .").exit == 3);
  const auto none =
      noonfall_program("collate " + folder.file("notes.txt", "one\n") + " --photos " + folder.path(""));
  CHECK(none.exit == 1);
  CHECK(has(none.err, "is no shot log"));
}
