#include <doctest/doctest.h>

#include "daemon/gphoto/frame_files.h"

using namespace noonfall;
using namespace noonfall::gphoto;

namespace {

order::FrameId frame(std::int32_t n) {
  return {.rig = 0, .step = 0, .set = 1, .frame = n};
}

using Paths = std::vector<std::string>;

constexpr Utc opening{std::chrono::seconds{100}};
constexpr Utc written{std::chrono::seconds{101}};

}  // namespace

TEST_CASE("raw and jpeg are two files of one frame, in whichever order they come") {
  FrameFiles files{2};
  files.released(frame(1), opening);
  files.released(frame(2), opening);
  CHECK(files.announced("/a/DCIM/100A/IMG_0001.JPG", written));
  CHECK_FALSE(files.is_complete(frame(1)));
  CHECK(files.announced("/a/DCIM/100A/IMG_0002.CR2", written));
  CHECK(files.announced("/a/DCIM/100A/IMG_0001.CR2", written));
  CHECK(files.is_complete(frame(1)));
  CHECK(files.files_of(frame(1)) == Paths{"/a/DCIM/100A/IMG_0001.JPG", "/a/DCIM/100A/IMG_0001.CR2"});
  CHECK_FALSE(files.is_complete(frame(2)));
  CHECK(files.take_complete().size() == 1);
  CHECK(files.announced("/a/DCIM/100A/IMG_0002.JPG", written));
  CHECK(files.is_complete(frame(2)));
}

TEST_CASE("a gap in the numbers is the frame nothing was announced of") {
  FrameFiles files{1};
  files.released(frame(1), opening);
  CHECK(files.announced("/d/IMG_9998.RAW", written));
  CHECK(files.take_complete().size() == 1);
  files.released(frame(2), opening);  // 9999 is never announced
  files.released(frame(3), opening);
  CHECK(files.announced("/e/IMG_0001.RAW", written));
  CHECK(files.files_of(frame(2)).empty());
  CHECK(files.files_of(frame(3)) == Paths{"/e/IMG_0001.RAW"});
}

TEST_CASE("numbers that begin anew, or that there are none of, leave the order of release") {
  FrameFiles files{1};
  files.released(frame(1), opening);
  CHECK(files.announced("/d/IMG_5000.RAW", written));
  files.released(frame(2), opening);
  CHECK(files.announced("/e/IMG_0007.RAW", written));
  CHECK(files.files_of(frame(2)) == Paths{"/e/IMG_0007.RAW"});
  files.released(frame(3), opening);
  CHECK(files.announced("/e/A.RAW", written));
  CHECK(files.files_of(frame(3)) == Paths{"/e/A.RAW"});
}

TEST_CASE("a file of no frame belongs to none") {
  FrameFiles files{1};
  CHECK_FALSE(files.announced("/d/IMG_0001.RAW", written));
  files.released(frame(1), opening);
  CHECK(files.announced("/d/IMG_0002.RAW", written));
  CHECK_FALSE(files.announced("/d/IMG_0003.RAW", written));
  CHECK(files.take_all() == std::vector<AwaitedFrame>{{frame(1), {"/d/IMG_0002.RAW"}, opening}});
  CHECK(files.empty());
}

TEST_CASE("a picture in the root of the body lies in its memory, not on a card") {
  CHECK(is_in_memory("//capt0000.nef"));
  CHECK(is_in_memory("/capt0000.nef"));
  CHECK_FALSE(is_in_memory("/store_00010001/DCIM/100NOONF/NOON0001.RAW"));
}

TEST_CASE("before any number is known, a file is of the frame that isn't given up yet") {
  FrameFiles files{1};
  files.released(frame(1), opening, opening + std::chrono::seconds{1});
  files.released(frame(2), opening, opening + std::chrono::seconds{3});
  CHECK(files.missed(opening + std::chrono::seconds{2}) == 1);
  CHECK(files.announced("/d/IMG_0042.RAW", written));
  CHECK(files.files_of(frame(1)).empty());
  CHECK(files.files_of(frame(2)) == Paths{"/d/IMG_0042.RAW"});
}

// A body with a backup slot writes each picture to both cards under one name (two stores in the dumps of
// D850, Z 9 and Zf), and tells of both.
TEST_CASE("of a body opened anew a name may come again: another card was put in") {
  FrameFiles files{1};
  files.released(frame(1), Utc::min());
  CHECK(files.announced("DCIM/100A/A0001.RAW", {}));
  (void)files.take_complete();
  files.reopened();
  files.released(frame(2), Utc::min());
  CHECK(files.announced("DCIM/100A/A0001.RAW", {}));
  CHECK(files.is_complete(frame(2)));
}

TEST_CASE("a picture announced twice is one") {
  FrameFiles files{1};
  files.released(frame(1), opening);
  files.released(frame(2), opening);
  CHECK(files.announced("DCIM/100A/IMG_0001.RAW", written));
  CHECK_FALSE(files.announced("DCIM/100A/IMG_0001.RAW", written));
  CHECK(files.take_complete().size() == 1);
  CHECK_FALSE(files.announced("DCIM/100A/IMG_0001.RAW", written));
  CHECK_FALSE(files.is_complete(frame(2)));
  FrameFiles pairs{2};
  pairs.released(frame(1), opening);
  CHECK(pairs.announced("DCIM/100A/IMG_0001.RAW", written));
  CHECK_FALSE(pairs.announced("DCIM/100A/IMG_0001.RAW", written));
  CHECK_FALSE(pairs.is_complete(frame(1)));
}

TEST_CASE("frames that were due and not announced are counted until one is announced again") {
  FrameFiles files{1};
  const auto at = [](int s) { return Utc{std::chrono::seconds{s}}; };
  for (std::int32_t n = 1; n <= 4; ++n) files.released(frame(n), at(0), at(n));
  CHECK(files.missed(at(0)) == 0);
  CHECK(files.missed(at(2)) == 2);
  CHECK(files.missed(at(2)) == 2);
  CHECK(files.missed(at(3)) == 3);
  CHECK(files.announced("/d/IMG_0042.RAW", at(3)));
  CHECK(files.missed(at(3)) == 0);
}

TEST_CASE("the last picture on the card tells which one the first announced is") {
  FrameFiles files{1};
  files.last_on_card("/d/IMG_0040.RAW");
  files.released(frame(1), opening);
  files.released(frame(2), opening);
  CHECK(files.announced("/d/IMG_0042.RAW", written));
  CHECK(files.files_of(frame(2)) == Paths{"/d/IMG_0042.RAW"});
}

TEST_CASE("what is announced before a frame's shutter can have opened is an earlier host's") {
  FrameFiles files{1};
  CHECK_FALSE(files.counts());
  files.released(frame(1), opening);
  CHECK_FALSE(files.announced("/d/IMG_0042.RAW", opening - std::chrono::microseconds{1}));
  CHECK(files.counts());
  CHECK(files.announced("/d/IMG_0043.RAW", written));
  CHECK(files.files_of(frame(1)) == Paths{"/d/IMG_0043.RAW"});
}
