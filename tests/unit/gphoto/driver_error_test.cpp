// Texts as libgphoto2 2.5.30 gave them against bodies of three families on its USB; response codes are those
// of ISO 15740 and, from 0xA000 on, of the vendors as the driver's ptp.h lists them.
#include <doctest/doctest.h>

#include "daemon/gphoto/driver_error.h"

using namespace noonfall::gphoto;
using noonfall::rig::Answer;

TEST_CASE("the body's own code is found in the driver's words") {
  CHECK(ptp_code("The property 'iso' was not set (0x200f: PTP Access Denied)") == 0x200F);
  CHECK(ptp_code("Canon EOS Full-Press failed (0x2019: PTP Device Busy)") == 0x2019);
  CHECK(ptp_code("PTP Store Full") == 0x200C);
  CHECK(ptp_code("Canon EOS M Capture failed: Perhaps no focus?") == 0xA002);
  CHECK(ptp_code("sent 0x1 at 0x20 of 0xD100, got 0xA002") == 0xA002);
  CHECK_FALSE(ptp_code(""));
  CHECK_FALSE(ptp_code("failed at 0x"));
  CHECK_FALSE(ptp_code("address 0x20190000"));
}

TEST_CASE("busy may be tried again, silence leaves it open, a refusal is a refusal") {
  CHECK(answer_of({result::camera_busy, ""}) == Answer::busy);
  CHECK(answer_of({result::bad_parameters, "was not set (0x2019: PTP Device Busy)"}) == Answer::busy);
  CHECK(answer_of({result::line_failed, ""}) == Answer::no_word);
  CHECK(answer_of({result::timed_out, ""}) == Answer::no_word);
  CHECK(answer_of({result::device_gone, "busy 0x2019"}) == Answer::gone);
  CHECK(answer_of({result::unspecific, "PTP Store Full"}) == Answer::refused);
  CHECK(answer_of({result::unspecific, ""}) == Answer::refused);
}

TEST_CASE("what went wrong is said in words, with the code it was told by") {
  CHECK(words_of({-1, "PTP Store Full"}) == "the card is full (PTP 0x200C)");
  CHECK(words_of({-2, "(0x2abc: unknown)"}) == "the body refused (PTP 0x2ABC)");
  CHECK(words_of({-52, ""}) == "the body is off the line (driver code -52)");
  CHECK(words_of({-1, "Something new\nand more"}) == "the body refused (driver code -1: Something new)");
}
