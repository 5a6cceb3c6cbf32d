// The loop: a plan is rehearsed, its frames are rendered as files, the files get what a day does to files,
// and `noonfall collate` finds every one its frame.
#include <algorithm>
#include <filesystem>
#include <fstream>
#include <map>
#include <random>
#include <sstream>

#include <doctest/doctest.h>

#include "daemon/pictures/photograph.h"
#include "daemon/pictures/read_photo.h"
#include "lib/collate/photo.h"
#include "tests/program/run_program.h"
#include "tests/source_folder.h"

using namespace noonfall;
using namespace noonfall::tests;
using namespace std::chrono_literals;
namespace fs = std::filesystem;

namespace {

const std::string plan = std::string{"'"} + NOONFALL_SOURCE + "/plans/first-light.yaml'";

Ran noonfall_program(const std::string& arguments) {
  return run_program(NOONFALL_PROGRAM, arguments);
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

std::vector<std::string> files_in(const std::string& folder) {
  std::vector<std::string> out;
  for (const auto& entry : fs::directory_iterator{folder}) out.push_back(entry.path().string());
  std::sort(out.begin(), out.end());
  return out;
}

/// The same picture, as a camera would have dated it whose clock was 1 h 00 min 17.3 s behind at `from` and
/// gains 2 s a day.
std::string dated_wrongly(const std::string& file, Utc instant, Utc from) {
  const auto photo = pictures::read_photo(file);
  pictures::ExifFacts facts;
  facts.model = "m";
  facts.clock = instant - 3'617'300ms + from_seconds(in_seconds(instant - from) / 86'400 * 2);
  facts.subsec_digits = 2;
  facts.exposure = {*photo.shutter, photo.aperture, *photo.iso};
  return pictures::with_exif(text_of_file(file), facts);
}

}  // namespace

TEST_CASE(
    "rendered frames come back from a card with a wrong clock, losses and strangers, each to its place") {
  const ScratchFolder folder;
  const auto rehearsed = noonfall_program("rehearse " + plan + " --frame-width 60 --frames " +
                                          folder.path("frames") + " --log " + folder.path("shots.jsonl"));
  CAPTURE(rehearsed.err);
  REQUIRE(rehearsed.exit == 0);
  auto files = files_in(folder.path("frames/long"));
  REQUIRE(files.size() > 500);
  std::map<std::string, std::string> log_names;  // by what the card's name became
  std::mt19937 luck{14};
  std::shuffle(files.begin(), files.end(), luck);
  const auto lost = files.size() * 3 / 100;
  files.resize(files.size() - lost);
  const auto ordered = files.size();
  const auto from = *pictures::read_photo(files.front()).clock;
  fs::create_directories(folder.path("card"));
  for (std::size_t n = 0; n < ordered * 102 / 100; ++n) {
    const bool by_hand = n >= ordered;
    const auto& file = files[by_hand ? luck() % ordered : n];
    const auto taken = *pictures::read_photo(file).clock;
    const auto instant =
        by_hand ? taken + Duration{250'000 + static_cast<std::int64_t>(luck() % 60'000) * 1000} : taken;
    const auto name = "x" + std::to_string(luck() % 1'000'000 + n * 1'000'000) + ".jpg";
    folder.file("card/" + name, dated_wrongly(file, instant, from));
    log_names[folder.path("card/" + name)] = by_hand ? "" : fs::path{file}.stem().string();
  }
  const auto ran =
      noonfall_program("collate " + folder.path("shots.jsonl") + " --photos " + folder.path("card") +
                       " --manifest " + folder.path("all.csv") + " --sort " + folder.path("sorted"));
  CAPTURE(ran.out);
  REQUIRE(ran.exit == 0);
  // Which frame each was, by the collation of the untouched files.
  REQUIRE(noonfall_program("collate " + folder.path("shots.jsonl") + " --photos " +
                           folder.path("frames/long") + " --manifest " + folder.path("truth.csv"))
              .exit == 0);
  const auto frames_by_name = [](const std::string& csv) {
    std::map<std::string, std::pair<std::string, std::string>> out;  // file: status and frame
    std::istringstream lines{csv};
    for (std::string line; std::getline(lines, line);) {
      std::vector<std::string> cells;
      std::istringstream row{line};
      for (std::string cell; std::getline(row, cell, ',');) cells.push_back(cell);
      if (cells.size() > 6) out[cells[0]] = {cells[1], cells[3] + " " + cells[4] + "." + cells[5]};
    }
    return out;
  };
  std::map<std::string, std::string> truth;
  for (const auto& [file, what] : frames_by_name(text_of_file(folder.path("truth.csv"))))
    truth[fs::path{file}.stem().string()] = what.second;
  const auto found = frames_by_name(text_of_file(folder.path("all.csv")));
  for (const auto& [file, name] : log_names) {
    CAPTURE(file);
    REQUIRE(found.contains(file));
    CHECK(found.at(file).first == (name.empty() ? "by hand" : "matched"));
    if (!name.empty()) CHECK(found.at(file).second == truth.at(name));
  }
  CHECK(has(ran.out, " " + std::to_string(lost) + " frames without a file."));
  CHECK(fs::exists(folder.path("sorted/by hand")));
  const auto again = noonfall_program("rehearse " + plan + " --frames " + folder.path("frames"));
  CHECK(again.exit == 3);
  CHECK(has(again.err, "isn't empty"));
  const auto sheet = text_of_file(folder.path("frames/sheet.html"));
  CHECK(has(sheet, "<a href=\"long/NOON0001.JPG\">"));
  CHECK_FALSE(has(sheet, "http"));
}

TEST_CASE("the same seed renders the same files") {
  const ScratchFolder folder;
  for (const auto* name : {"one", "two"})
    REQUIRE(noonfall_program("rehearse " + plan + " --frame-width 60 --seed 3 --frames " + folder.path(name))
                .exit == 0);
  const auto one = files_in(folder.path("one/long"));
  const auto two = files_in(folder.path("two/long"));
  REQUIRE(one.size() == two.size());
  for (std::size_t n = 0; n < one.size(); ++n) CHECK(text_of_file(one[n]) == text_of_file(two[n]));
}

TEST_CASE("frames as TIFF have 16 bits, stacks of them 32-bit numbers, by ExifTool") {
  const ScratchFolder folder;
  const auto frames = folder.path("frames");
  REQUIRE(
      noonfall_program("rehearse " + plan + " --frame-width 60 --frame-form tiff --stacks --frames " + frames)
          .exit == 0);
  std::vector<std::string> stacks;
  for (const auto& file : files_in(frames + "/long"))
    if (has(file, "/stack ")) stacks.push_back(fs::path{file}.filename().string());
  CHECK(stacks.size() == 7);
  CHECK(stacks.front() == "stack corona joined.tif");
  CHECK(has(stacks.back(), "1-60 f-8 ISO 400.tif"));
  if (run_program("/usr/bin/exiftool", "-ver").exit != 0) return;
  const auto tags = " -s -s -s -BitsPerSample -SampleFormat -ImageSize ";
  CHECK(run_program("/usr/bin/exiftool", tags + frames + "/long/NOON0043.TIF").out ==
        "16 16 16\nUnsigned; Unsigned; Unsigned\n60x39\n");
  CHECK(run_program("/usr/bin/exiftool", tags + ("'" + frames + "/long/stack corona joined.tif'")).out ==
        "32 32 32\nFloat; Float; Float\n60x39\n");
}
