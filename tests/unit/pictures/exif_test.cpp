// Exif written and read against ExifTool (Debian's libimage-exiftool-perl), which shares no code with the
// library behind ours: what it writes is read, and what is written it reads and finds valid.
#include <cstdlib>
#include <iostream>

#include <doctest/doctest.h>

#include "daemon/pictures/photo_files.h"
#include "daemon/pictures/photograph.h"
#include "daemon/pictures/read_photo.h"
#include "lib/time/utc_text.h"
#include "tests/program/run_program.h"

using namespace noonfall;
using namespace noonfall::tests;
using namespace std::chrono_literals;
using collate::Photo;

namespace {

std::string bare_jpeg() {
  std::vector<std::uint8_t> rgb(16 * 8 * 3, 90);
  return pictures::to_jpeg(rgb, 16, 8);
}

/// Whether ExifTool is here; otherwise the case shows as skipped, and fails with CI=true.
bool has_exiftool() {
  if (run_program("/usr/bin/exiftool", "-ver").exit == 0) return true;
  const char* ci = std::getenv("CI");
  if (ci != nullptr && std::string_view{ci} == "true") FAIL("no exiftool: install libimage-exiftool-perl");
  std::cout << "SKIPPED: no exiftool\n";
  return false;
}

Ran exiftool(const std::string& arguments) {
  return run_program("/usr/bin/exiftool", arguments);
}

pictures::ExifFacts facts() {
  return {"Noonfall",
          "simulated mirrorless-20",
          "7",
          "corona 3.2",
          *parse_utc("2027-08-02T08:47:28.123456Z"),
          2h,
          3,
          {{1, 500}, exposure::FNumber{56}, {400}},
          Millimetres{600},
          16,
          8};
}

}  // namespace

TEST_CASE("what is written is valid Exif by ExifTool, and says what it was given") {
  if (!has_exiftool()) return;
  const ScratchFolder folder;
  const auto file = folder.file("a.jpg", pictures::with_exif(bare_jpeg(), facts()));
  const auto valid = exiftool("-validate -warning -error -a " + file);
  CAPTURE(valid.out);
  CHECK(valid.out == "Validate                        : OK\n");
  const auto said = exiftool(
      "-s -s -s -SubSecDateTimeOriginal -ExposureTime -FNumber -ISO -Model -SerialNumber -FocalLength "
      "-ImageSize "
      "-ImageDescription " +
      file);
  CHECK(said.out ==
        "2027:08:02 10:47:28.123+02:00\n1/500\n5.6\n400\nsimulated mirrorless-20\n7\n600.0 mm\n16x8\ncorona "
        "3.2\n");
}

TEST_CASE("what is written is read back") {
  const auto photo = pictures::read_photo_bytes(pictures::with_exif(bare_jpeg(), facts()), "a.jpg");
  CHECK(photo == Photo{"a.jpg", "simulated mirrorless-20 7", parse_utc("2027-08-02T08:47:28.123Z"), 1ms,
                       exposure::Shutter{1, 500}, exposure::FNumber{56}, exposure::Iso{400}, "", "7"});
  auto whole_seconds = facts();
  whole_seconds.subsec_digits = 0;
  whole_seconds.exposure = {{13, 10}, {}, {102'400}};
  CHECK(pictures::read_photo_bytes(pictures::with_exif(bare_jpeg(), whole_seconds), "b") ==
        Photo{"b",
              "simulated mirrorless-20 7",
              parse_utc("2027-08-02T08:47:28Z"),
              1s,
              exposure::Shutter{13, 10},
              {},
              exposure::Iso{102'400},
              "",
              "7"});
}

TEST_CASE("what ExifTool writes is read") {
  if (!has_exiftool()) return;
  const ScratchFolder folder;
  const auto file = folder.file("a.jpg", bare_jpeg());
  const auto read = [&](const std::string& tags) {
    REQUIRE(exiftool("-q -overwrite_original " + tags + " " + file).exit == 0);
    auto photo = pictures::read_photo(file);
    photo.file.clear();
    return photo;
  };
  CHECK(read("-DateTimeOriginal='2027:08:02 08:47:28' -SubSecTimeOriginal=07 -OffsetTimeOriginal=-03:30 "
             "-ExposureTime=1/1600 -FNumber=8 -ISO=200 -Model='Model Nine' -SerialNumber=00123") ==
        Photo{"", "Model Nine 00123", parse_utc("2027-08-02T12:17:28.07Z"), 10ms, exposure::Shutter{1, 1600},
              exposure::FNumber{80}, exposure::Iso{200}, "", "00123"});
  // A lens the body knows nothing of, and a time as a decimal.
  CHECK(read("-FNumber=0 -ExposureTime=0.000624 -SubSecTimeOriginal= -OffsetTimeOriginal=") ==
        Photo{"",
              "Model Nine 00123",
              parse_utc("2027-08-02T08:47:28Z"),
              1s,
              exposure::Shutter{1, 1600},
              {},
              exposure::Iso{200},
              "",
              "00123"});
  // A clock that was never set, as ExifTool refuses to write it.
  auto unset = text_of_file(file);
  for (auto at = unset.find("2027:08:02 08:47:28"); at != std::string::npos;
       at = unset.find("2027:08:02 08:47:28"))
    unset.replace(at, 19, "0000:00:00 00:00:00");
  CHECK(pictures::read_photo_bytes(unset, "").clock == std::nullopt);
  CHECK(read("-DateTimeOriginal= -CreateDate='2027:08:02 08:47:29'").clock ==
        parse_utc("2027-08-02T08:47:29Z"));
}

TEST_CASE("raw files of the DNG and TIFF kind are read") {
  if (!has_exiftool()) return;
  const ScratchFolder folder;
  // ExifTool makes a TIFF-based file of tags alone.
  const auto file = folder.path("a.dng");
  const auto made = exiftool(
      "-q -DateTimeOriginal='2027:08:02 08:47:28' -SubSecTimeOriginal=5 -ExposureTime=2 -ISO=800 " + file);
  if (made.exit != 0) {
    const auto exif = folder.path("a.exif");
    REQUIRE(exiftool(
                "-q -DateTimeOriginal='2027:08:02 08:47:28' -SubSecTimeOriginal=5 -ExposureTime=2 -ISO=800 " +
                exif)
                .exit == 0);
    // Behind its six bytes "Exif" an .exif file is a TIFF file.
    std::filesystem::rename(exif, file);
  }
  const auto photo = pictures::read_photo(file);
  CAPTURE(photo.trouble);
  CHECK(photo.clock == parse_utc("2027-08-02T08:47:28.5Z"));
  CHECK(photo.shutter == exposure::Shutter{2, 1});
}

TEST_CASE("what is no sound photograph has its trouble in words, and nothing is written to any file") {
  const ScratchFolder folder;
  const auto whole = pictures::with_exif(bare_jpeg(), facts());
  const auto trouble = [&](const std::string& name, const std::string& bytes) {
    const auto file = folder.file(name, bytes);
    const auto photo = pictures::read_photo(file);
    CHECK(text_of_file(file) == bytes);
    CHECK(photo.file == file);
    return photo.trouble;
  };
  CHECK(trouble("empty.jpg", "") == "it is empty");
  CHECK(trouble("notes.txt", "frames of today\n") == "it is no photograph of a known format");
  CHECK(trouble("cut.jpg", whole.substr(0, whole.size() / 2)) == "it is cut short");
  CHECK(trouble("two.jpg", "\xFF\xD8") == "it is cut short");
  CHECK(trouble("head.jpg", std::string{"\xFF\xD8\xFF\xE1\xFF\xFF"} + "Exif" + "\xFF\xD9") != "");
  CHECK(trouble("plain.jpg", bare_jpeg()) == "");
  // 65500 x 65500, the most a JPEG may be: its size is nobody's memory.
  auto huge = whole;
  const auto frame = huge.find("\xFF\xC0");
  REQUIRE(frame != std::string::npos);
  huge.replace(frame + 5, 4, "\xFF\xDC\xFF\xDC");
  CHECK(trouble("huge.jpg", huge) == "");
  CHECK(pictures::read_photo("/dev/zero").trouble == "it is a device");
  CHECK(pictures::read_photo(folder.path("")).trouble == "it is a folder");
  CHECK(pictures::read_photo(folder.path("nowhere")).trouble ==
        "it can't be read: No such file or directory");
}

TEST_CASE("many are read by several threads in the order named") {
  const ScratchFolder folder;
  std::vector<std::string> files;
  std::vector<Photo> one_by_one;
  for (int n = 0; n < 60; ++n) {
    auto own = facts();
    own.clock += n * 1s;
    files.push_back(folder.file(std::to_string(n) + ".jpg",
                                n % 7 == 0 ? "no picture" : pictures::with_exif(bare_jpeg(), own)));
    one_by_one.push_back(pictures::read_photo(files.back()));
  }
  int last = 0;
  CHECK(pictures::read_photos(files, 4, [&](int done) { last = done; }) == one_by_one);
  CHECK(last == 60);
}

TEST_CASE("folders are gone through, each file once, hidden ones and sidecars left out") {
  const ScratchFolder folder;
  std::filesystem::create_directories(folder.path("a/b"));
  std::filesystem::create_directories(folder.path(".trash"));
  for (const auto* name : {"z.jpg", "a/1.RAW", "a/1.RAW.xmp", "a/b/2.jpg", ".hidden.jpg", ".trash/3.jpg"})
    folder.file(name, "x");
  std::filesystem::create_symlink(folder.path("z.jpg"), folder.path("a/link.jpg"));
  const auto files = pictures::photo_files({folder.path("z.jpg"), folder.path("")});
  REQUIRE(files);
  CHECK(*files ==
        std::vector<std::string>{folder.path("z.jpg"), folder.path("a/1.RAW"), folder.path("a/b/2.jpg")});
  CHECK_FALSE(pictures::photo_files({folder.path("nowhere")}));
}
