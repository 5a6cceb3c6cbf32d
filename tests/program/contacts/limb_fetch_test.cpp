// Elevation images fetched from a server on the loopback, good and bad.
#include <cmath>
#include <cstring>
#include <numbers>

#include <doctest/doctest.h>

#include "tests/program/contacts/file_server.h"
#include "tests/program/contacts/limb_program.h"
#include "tests/reference_file.h"

using namespace noonfall;
using namespace noonfall::tests;

namespace {

/// 4 pixels a degree, made up, in the layout of a PDS3 label (Standards Reference 3.8).
const std::string label = R"(PDS_VERSION_ID = PDS3
TARGET_NAME = MOON
OBJECT = UNCOMPRESSED_FILE
 ^IMAGE = "MADE_UP.IMG"
 OBJECT = IMAGE
  LINES = 720
  LINE_SAMPLES = 1440
  SAMPLE_TYPE = LSB_INTEGER
  SAMPLE_BITS = 16
  UNIT = METER
  SCALING_FACTOR = 0.5
  OFFSET = 1737400.
 END_OBJECT = IMAGE
END_OBJECT = UNCOMPRESSED_FILE
OBJECT = IMAGE_MAP_PROJECTION
 MAP_PROJECTION_TYPE = "SIMPLE CYLINDRICAL"
 MAP_RESOLUTION = 4 <pix/deg>
 POSITIVE_LONGITUDE_DIRECTION = "EAST"
 MAXIMUM_LATITUDE = 90 <deg>
 MINIMUM_LATITUDE = -90 <deg>
 WESTERNMOST_LONGITUDE = 0 <deg>
 EASTERNMOST_LONGITUDE = 360 <deg>
 COORDINATE_SYSTEM_NAME = "MEAN EARTH/POLAR AXIS OF DE421"
END_OBJECT = IMAGE_MAP_PROJECTION
END
)";

/// Hills of two kilometres.
std::string image() {
  std::string bytes(720 * 1440 * 2, '\0');
  for (int line = 0; line < 720; ++line) {
    for (int sample = 0; sample < 1440; ++sample) {
      const auto value =
          static_cast<std::int16_t>(4000 * std::sin(line * 0.05) * std::sin(sample * std::numbers::pi / 180));
      std::memcpy(bytes.data() + 2 * (1440 * line + sample), &value, 2);
    }
  }
  return bytes;
}

/// A user's own folders, with nothing of noonfall in them.
class Home {
 public:
  [[nodiscard]] std::string strip() const { return folder.path("share/noonfall/moon.llb"); }
  [[nodiscard]] std::string part() const { return folder.path("cache/noonfall/MADE_UP.IMG.part"); }
  /// That much of the image is there already.
  void begin_with(const std::string& bytes) const {
    std::filesystem::create_directories(folder.path("cache/noonfall"));
    folder.file("cache/noonfall/MADE_UP.IMG.part", bytes);
  }
  [[nodiscard]] Ran fetch(const std::string& words) const { return noonfall_program("limb fetch " + words); }
  /// Nothing was installed, and the last line says why.
  void refuses(const FileServer& server, int exit, const std::string& why) const {
    const auto ran = fetch(server.address("/MADE_UP.IMG"));
    CHECK(ran.exit == exit);
    CHECK(ran.out.empty());
    CHECK_MESSAGE(has(ran.err, why), ran.err);
    CHECK_FALSE(std::filesystem::exists(strip()));
  }

  ScratchFolder folder;
  Variable data{"XDG_DATA_HOME", folder.path("share")};
  Variable cache{"XDG_CACHE_HOME", folder.path("cache")};
};

}  // namespace

TEST_CASE("an image is fetched, made into a strip where noonfall looks for it, and not kept") {
  const Home home;
  FileServer server;
  server.serve("/moon/MADE_UP.IMG", {image()});
  server.serve("/moon/MADE_UP.LBL", {label});
  const auto ran = home.fetch(server.address("/moon/MADE_UP.IMG"));
  CHECK_MESSAGE(ran.exit == 0, ran.err);
  CHECK(has(ran.out, home.strip() + ": 1440 x 448 heights from 4 pixels a degree"));
  CHECK(has(ran.err, "2 of 2 megabytes: MADE_UP.IMG\n") != has(ran.err, "0 of 2 megabytes: MADE_UP.IMG\n"));
  CHECK(server.asked() == std::vector<std::string>{"GET /moon/MADE_UP.LBL", "GET /moon/MADE_UP.IMG"});
  CHECK(json_of(tarifa)["limb"] == "profile");
  CHECK(std::filesystem::is_empty(home.folder.path("cache/noonfall")));
  const auto again = home.fetch(server.address("/moon/MADE_UP.IMG"));
  CHECK(again.exit == 3);
  CHECK(again.err == "noonfall: " + home.strip() + " exists already; move it away or choose another name\n");
  CHECK(server.asked().size() == 2);
}

TEST_CASE("an image is kept in a folder that is named for it") {
  const Home home;
  FileServer server;
  server.serve("/MADE_UP.IMG", {image()});
  server.serve("/MADE_UP.LBL", {label});
  const auto kept = home.folder.path("kept");
  const auto ran =
      home.fetch(server.address("/MADE_UP.IMG") + " --keep " + kept + " --out " + home.folder.path("x.llb"));
  CHECK_MESSAGE(ran.exit == 0, ran.err);
  CHECK(text_of_file(kept + "/MADE_UP.IMG") == image());
  CHECK(text_of_file(kept + "/MADE_UP.LBL") == label);
  CHECK(std::filesystem::exists(home.folder.path("x.llb")));
}

TEST_CASE("a download that broke off is gone on with, also where the server knows no ranges") {
  FileServer server;
  server.serve("/MADE_UP.LBL", {label});
  const auto whole = image();
  for (const bool ranges : {true, false}) {
    const Home home;
    server.serve("/MADE_UP.IMG", {.bytes = whole, .cut_after = 1'000'000});
    home.refuses(server, 3, "it ended after 1000000 of 2073600 bytes; the same command goes on from there");
    CHECK(text_of_file(home.part()) == whole.substr(0, 1'000'000));
    server.serve("/MADE_UP.IMG", {.bytes = whole, .ranges = ranges});
    const auto ran = home.fetch(server.address("/MADE_UP.IMG"));
    CHECK_MESSAGE(ran.exit == 0, ran.err);
    CHECK(json_of(tarifa)["limb"] == "profile");
    const auto asked = server.asked();
    CHECK(asked[asked.size() - (ranges ? 1 : 2)] == "GET /MADE_UP.IMG from 1000000");
  }
}

TEST_CASE("what is there already isn't fetched again, and too much of it counts for nothing") {
  FileServer server;
  server.serve("/MADE_UP.LBL", {label});
  server.serve("/MADE_UP.IMG", {image()});
  for (const auto& [there, requests] : {std::pair{image(), 1}, std::pair{image() + "x", 2}}) {
    const Home home;
    home.begin_with(there);
    const auto before = server.asked().size();
    CHECK(home.fetch(server.address("/MADE_UP.IMG")).exit == 0);
    CHECK(server.asked().size() == before + static_cast<std::size_t>(requests));
  }
}

TEST_CASE("a wrong or endless download is refused and nothing is installed") {
  const Home home;
  FileServer server;
  home.refuses(server, 3, "error: 404");
  server.serve("/MADE_UP.LBL", {"<html>Not here</html>"});
  home.refuses(server, 1, "/MADE_UP.LBL:1:1: error: ");
  server.serve("/MADE_UP.LBL", {.bytes = "PDS_VERSION_ID = PDS3\n", .endless = true});
  home.refuses(server, 3, "/MADE_UP.LBL: it has more than 1048576 bytes");
  server.serve("/MADE_UP.LBL", {label});
  home.refuses(server, 3, "error: 404");
  server.serve("/MADE_UP.IMG", {.bytes = image(), .endless = true});
  home.refuses(server, 3, "it has more than the 2073600 bytes its label describes");
  CHECK_FALSE(std::filesystem::exists(home.part()));
  server.serve("/MADE_UP.IMG", {std::string(2'073'600, '\x7f')});  // 16 km high everywhere
  home.refuses(server, 1, "MADE_UP.IMG");
}

TEST_CASE("without a web one line says what to download by hand") {
  const Home home;
  std::string nobody;
  {
    const FileServer server;
    nobody = server.address("/MADE_UP.IMG");
  }
  const auto ran = home.fetch(nobody);
  CHECK(ran.exit == 3);
  CHECK(std::count(ran.err.begin(), ran.err.end(), '\n') == 1);
  CHECK(has(ran.err, ". By hand: download " + nobody + " and "));
  CHECK(has(ran.err,
            "MADE_UP.LBL beside it, then noonfall limb build MADE_UP.IMG --out " + home.strip() + "\n"));
  const auto other = home.fetch("http://127.0.0.1:1/image.zip");
  CHECK(other.exit == 2);
  CHECK(has(other.err, "the address of an image ends in .img or .IMG"));
  const auto local = home.fetch("file:///etc/passwd.img");
  CHECK(local.exit == 3);
}

TEST_CASE("NASA's image at 4 pixels a degree comes through the web as from the disk") {
  const auto nasa_image = reference_file("limb/LDEM_4.IMG");
  const auto nasa_label = reference_file("limb/LDEM_4.LBL");
  if (!nasa_image || !nasa_label) return;
  const Home home;
  FileServer server;
  server.serve("/LDEM_4.IMG", {text_of_file(*nasa_image)});
  server.serve("/LDEM_4.LBL", {text_of_file(*nasa_label)});
  const auto ran = home.fetch(server.address("/LDEM_4.IMG"));
  CHECK_MESSAGE(ran.exit == 0, ran.err);
  const auto by_hand = home.folder.path("by_hand.llb");
  REQUIRE(noonfall_program("limb build " + *nasa_image + " --out " + by_hand).exit == 0);
  CHECK(text_of_file(home.strip()) == text_of_file(by_hand));
}
