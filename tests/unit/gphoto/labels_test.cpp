// Labels as libgphoto2 2.5.30's ptp2 driver writes them for bodies of several makes (its configuration tables
// and public reports of users), and the values they stand for.
#include <doctest/doctest.h>

#include "daemon/gphoto/labels.h"

using namespace noonfall;
using namespace noonfall::gphoto;
using exposure::FNumber;
using exposure::Iso;
using exposure::Shutter;

TEST_CASE("shutter times are read exactly, however they are written") {
  CHECK(shutter_of("1/500") == Shutter{1, 500});
  CHECK(shutter_of("10/25") == Shutter{2, 5});
  CHECK(shutter_of("300/10") == Shutter{30, 1});
  CHECK(shutter_of("0.0020s") == Shutter{1, 500});
  CHECK(shutter_of("0.0001s") == Shutter{1, 10000});
  CHECK(shutter_of("0.4") == Shutter{2, 5});
  CHECK(shutter_of("2") == Shutter{2, 1});
  CHECK(shutter_of("30.0000s") == Shutter{30, 1});
  CHECK(shutter_of("2m") == Shutter{120, 1});
  CHECK(shutter_of("1/1.3") == Shutter{10, 13});
}

TEST_CASE("labels that are no time have none") {
  for (const auto* label : {"bulb", "Bulb", "Time", "auto", "x 200", "", "s", "/", "1/", "1/0", "0", "-1",
                            "1/-2", "0x20", "1e3", "99999999999", "1/70000", "20m", "Unknown value 0001"}) {
    CAPTURE(label);
    CHECK_FALSE(shutter_of(label));
  }
}

TEST_CASE("f-numbers and ISO values are read with and without what stands before them") {
  CHECK(f_number_of("f/5.6") == FNumber{56});
  CHECK(f_number_of("5.6") == FNumber{56});
  CHECK(f_number_of("f/8.0") == FNumber{80});
  CHECK(f_number_of("16") == FNumber{160});
  CHECK(iso_of("400") == Iso{400});
  for (const auto* label : {"implicit auto", "f/", "f/0", "f/500", ""}) CHECK_FALSE(f_number_of(label));
  for (const auto* label : {"Auto", "0", "4000000", "L1.0", ""}) CHECK_FALSE(iso_of(label));
}

TEST_CASE("the nearest choice in stops is sent by its own label, the first of equals") {
  const auto choices = choices_of<Shutter>({"bulb", "0.3", "1/4", "1/5", "0.3"}, shutter_of);
  REQUIRE(choices.size() == 4);
  CHECK(nearest_choice(choices, Shutter{1, 3}) == &choices[0]);
  CHECK(nearest_choice(choices, Shutter{1, 4})->label == "1/4");
  CHECK(nearest_choice(choices, Shutter{1, 1000})->label == "1/5");
  CHECK(nearest_choice(choices_of<Iso>({"Auto"}, iso_of), Iso{100}) == nullptr);
}

TEST_CASE("what is read back has the plan's name when it is the same click of the dial") {
  CHECK(as_named(Shutter{3, 10}, Shutter{1, 3}) == Shutter{1, 3});
  CHECK(as_named(Shutter{10, 33}, Shutter{3, 10}) == Shutter{3, 10});
  CHECK(as_named(Shutter{1, 4}, Shutter{1, 3}) == Shutter{1, 4});
  CHECK(as_named(FNumber{80}, FNumber{56}) == FNumber{80});
  CHECK(as_named(Iso{400}, Iso{400}) == Iso{400});
}

// "First is best" isn't so: lists of family a begin with JPEG Basic and NEF+Basic (30 dumps), Sony's has Fine
// before Extra Fine; R10, R50, R6 II and R8 have cRAW before RAW.
TEST_CASE("the label of a format that keeps most of the picture comes first, wherever it stands") {
  using body::Files;
  const auto best = [](Files files, const std::vector<std::string>& labels) {
    for (const auto& choice : formats_of(labels))
      if (choice.value == files) return choice.label;
    return std::string{};
  };
  const std::vector<std::string> a{"JPEG Basic", "JPEG Normal", "JPEG Fine", "NEF (Raw)",
                                   "NEF+Basic",  "NEF+Normal",  "NEF+Fine"};
  CHECK(best(Files::jpeg, a) == "JPEG Fine");
  CHECK(best(Files::raw, a) == "NEF (Raw)");
  CHECK(best(Files::raw_and_jpeg, a) == "NEF+Fine");
  const std::vector<std::string> b{"cRAW + Large Fine JPEG",
                                   "cRAW",
                                   "sRAW",
                                   "mRAW",
                                   "RAW",
                                   "Smaller JPEG",
                                   "Small Fine JPEG",
                                   "Large Normal JPEG",
                                   "Large Fine JPEG",
                                   "RAW + Small Fine JPEG",
                                   "RAW + Large Fine JPEG"};
  CHECK(best(Files::jpeg, b) == "Large Fine JPEG");
  CHECK(best(Files::raw, b) == "RAW");
  CHECK(best(Files::raw_and_jpeg, b) == "RAW + Large Fine JPEG");
  const std::vector<std::string> sony{"Standard", "Fine",           "Extra Fine",
                                      "RAW",      "RAW+JPEG (Std)", "RAW+JPEG (X.Fine)"};
  CHECK(best(Files::jpeg, sony) == "Extra Fine");
  CHECK(best(Files::raw_and_jpeg, sony) == "RAW+JPEG (X.Fine)");
  CHECK(best(Files::raw, {"cRAW", "Unknown value 0450"}) == "cRAW");
  CHECK(formats_of({"TIFF (RGB)", "Unknown value 000a", ""}).empty());
}

TEST_CASE("a body's fastest drive and its single one are known by every family's words") {
  const auto drive = [](body::Drive wanted, const std::vector<std::string>& labels) {
    const auto drives = drives_of(labels);
    const auto* found = nearest_choice(drives, wanted);
    return found == nullptr ? std::string{} : found->label;
  };
  const std::vector<std::string> sony{"Single Shot",          "Continuous Low Speed", "Burst",
                                      "Continuous Hi+ Speed", "Continuous Med Speed", "Selftimer 10s"};
  CHECK(drive(body::Drive::continuous, sony) == "Continuous Hi+ Speed");
  CHECK(drive(body::Drive::single, sony) == "Single Shot");
  const std::vector<std::string> fuji{"Single frame", "Continuous low speed", "Continuous high speed",
                                      "Self-timer"};
  CHECK(drive(body::Drive::single, fuji) == "Single frame");
  CHECK(drive(body::Drive::continuous, fuji) == "Continuous high speed");
}

TEST_CASE("bulb is the label that says so, for what is more than a third of a stop beyond the list") {
  CHECK(bulb_of({"1/2", "1", "Bulb", "Time"}) == "Bulb");
  CHECK(bulb_of({"bulb", "30"}) == "bulb");
  CHECK(bulb_of({"30", "Time", "auto"}).empty());
  const auto choices = choices_of<Shutter>({"bulb", "1/60", "20", "1/4"}, shutter_of);
  CHECK_FALSE(is_too_long({1, 8000}, choices));
  CHECK_FALSE(is_too_long({20, 1}, choices));
  CHECK_FALSE(is_too_long({25, 1}, choices));
  CHECK(is_too_long({30, 1}, choices));
  CHECK(is_too_long({900, 1}, choices));
  CHECK_FALSE(is_too_long({900, 1}, {}));
}

TEST_CASE("lists of real bodies, retyped: drives, the fastest burst among them") {
  using Drives = std::vector<Choice<body::Drive>>;
  // Dumps sony-a7m4, nikon-z9, canon-eos-r6 and fuji-xt4, their first entries.
  CHECK(
      drives_of({"Single Shot", "Continuous Hi+ Speed", "Burst", "Continuous Med Speed", "Selftimer 10s"}) ==
      Drives{{"Single Shot", body::Drive::single}, {"Continuous Hi+ Speed", body::Drive::continuous}});
  CHECK(drives_of({"Single Shot", "Burst", "Continuous Low Speed", "Timer", "Unknown value 8100"}) ==
        Drives{{"Single Shot", body::Drive::single}, {"Burst", body::Drive::continuous}});
  CHECK(drives_of(
            {"Single", "Super high speed continuous shooting", "Continuous high speed", "Timer 10 sec"}) ==
        Drives{{"Single", body::Drive::single},
               {"Super high speed continuous shooting", body::Drive::continuous}});
  CHECK(drives_of({"Self-timer", "Unknown value 0008"}).empty());
  CHECK(drive_mode_of("Continuous timer") == body::DriveMode::other);
  CHECK(drive_mode_of("Single silent") == body::DriveMode::single);
  CHECK(drive_mode_of("Self-timer") == body::DriveMode::other);
}

TEST_CASE("lists of real bodies, retyped: files, the best of a kind first") {
  const auto first = [](const std::vector<std::string>& labels, body::Files files) {
    const auto formats = formats_of(labels);
    const auto found = std::ranges::find(formats, files, &Choice<body::Files>::value);
    return found == formats.end() ? std::string{} : found->label;
  };
  // nikon-d750: the list begins with the worst.
  const std::vector<std::string> nikon{"JPEG Basic", "JPEG Normal", "JPEG Fine",  "TIFF (RGB)",
                                       "NEF (Raw)",  "NEF+Basic",   "NEF+Normal", "NEF+Fine"};
  CHECK(first(nikon, body::Files::jpeg) == "JPEG Fine");
  CHECK(first(nikon, body::Files::raw) == "NEF (Raw)");
  CHECK(first(nikon, body::Files::raw_and_jpeg) == "NEF+Fine");
  // sony-a7r3a
  const std::vector<std::string> sony{
      "Standard", "Fine", "Extra Fine", "RAW", "RAW+JPEG (Fine)", "RAW+JPEG (X.Fine)", "RAW+JPEG (Std)"};
  CHECK(first(sony, body::Files::jpeg) == "Extra Fine");
  CHECK(first(sony, body::Files::raw_and_jpeg) == "RAW+JPEG (X.Fine)");
  // canon-eos-r10
  const std::vector<std::string> canon{
      "cRAW + Large Fine JPEG", "RAW + Small Fine JPEG", "RAW + Large Fine JPEG", "cRAW", "RAW",
      "Smaller JPEG",           "Large Fine JPEG"};
  CHECK(first(canon, body::Files::raw_and_jpeg) == "RAW + Large Fine JPEG");
  CHECK(first(canon, body::Files::raw) == "RAW");
  CHECK(first(canon, body::Files::jpeg) == "Large Fine JPEG");
  // config.c:6756-6763: no dump has them yet.
  CHECK(formats_of({"HEIF (Fine)", "RAW+HEIF (Std)"}).empty());
}

TEST_CASE("labels of real bodies, retyped: what looks like a value and is none") {
  CHECK_FALSE(shutter_of("65535/65535"));  // sony-ilce-7rm4a, without a time
  CHECK_FALSE(shutter_of("60m"));          // fuji-xt4: beyond what a plan may ask for
  CHECK(shutter_of("15m") == exposure::Shutter{900, 1});
  for (const auto* label : {"65535", "53249", "-1", "0", "100 Multi Frame Noise Reduction", "A800 (160-800)"})
    CHECK_FALSE(iso_of(label));
  CHECK(iso_of("10240") == exposure::Iso{10'240});
  CHECK_FALSE(focusing_of("Unknown value 8013"));
  CHECK_FALSE(saved_to_of("somewhere"));
}
