// From a PDS elevation image and its label to a strip, and what is refused.
#include <cmath>
#include <cstring>

#include <fmt/format.h>

#include "lib/limb/elevation_image.h"
#include "lib/limb/limb_contacts.h"
#include "tests/unit/contacts/reference_table.h"
#include "tests/unit/limb/eclipses.h"
#include "tests/unit/limb/strips.h"

using namespace noonfall;
using namespace noonfall::limb;
using namespace noonfall::tests;
using contacts::ContactName;

namespace {

/// As a LOLA gridded data record has it, cut to what is read.
std::string label_text(std::uint32_t resolution) {
  return fmt::format(R"(PDS_VERSION_ID            = "PDS3"
/*** made up ***/
TARGET_NAME               = MOON
DESCRIPTION               = "A shape map
   of the Moon = nothing. END
"
OBJECT                    = UNCOMPRESSED_FILE
FILE_NAME                 = "MADE_UP.IMG"
FILE_RECORDS              = {1}
RECORD_BYTES              = {3}
^IMAGE                    = "MADE_UP.IMG"
  OBJECT                  = IMAGE
    LINES                 = {1}
    LINE_SAMPLES          = {2}
    SAMPLE_TYPE           = LSB_INTEGER
    SAMPLE_BITS           = 16
    UNIT                  = METER
    SCALING_FACTOR        = 0.5
    OFFSET                = 1737400.
  END_OBJECT              = IMAGE
END_OBJECT                = UNCOMPRESSED_FILE
OBJECT                    = IMAGE_MAP_PROJECTION
 MAP_PROJECTION_TYPE          = "SIMPLE CYLINDRICAL"
 MAP_RESOLUTION               = {0} <pix/deg>
 POSITIVE_LONGITUDE_DIRECTION = "EAST"
 MAXIMUM_LATITUDE             = 90 <deg>
 MINIMUM_LATITUDE             = -90 <deg>
 WESTERNMOST_LONGITUDE        = 0 <deg>
 EASTERNMOST_LONGITUDE        = 360 <deg>
 COORDINATE_SYSTEM_NAME       = "MEAN EARTH/POLAR AXIS OF DE421"
END_OBJECT                    = IMAGE_MAP_PROJECTION
END
)",
                     resolution, 180 * resolution, 360 * resolution, 720 * resolution);
}

ElevationLabel label_of(std::uint32_t resolution) {
  auto label = parse_elevation_label(label_text(resolution));
  REQUIRE(label);
  return *label;
}

/// Hills some degrees wide, kilometres.
double made_up_height(double x, double y, double z) {
  return 2 * std::sin(11 * x + 3) * std::cos(13 * y) + 1.5 * std::sin(17 * z + y);
}

std::string made_up_image(const ElevationLabel& label) {
  std::string bytes(label.image_bytes(), '\0');
  char* at = bytes.data();
  for (std::uint32_t line = 0; line < label.lines(); ++line) {
    const double latitude = radians({90 - (line + 0.5) / label.pixels_per_degree});
    for (std::uint32_t sample = 0; sample < label.samples(); ++sample, at += 2) {
      const double longitude = radians({(sample + 0.5) / label.pixels_per_degree});
      const double height = made_up_height(std::cos(latitude) * std::cos(longitude),
                                           std::cos(latitude) * std::sin(longitude), std::sin(latitude));
      const auto value = static_cast<std::int16_t>(std::lround(height * 2000));
      std::memcpy(at, &value, 2);
    }
  }
  return bytes;
}

/// Farthest that the strip is from the hills, metres.
double worst_m(const Strip& strip) {
  double worst = 0;
  for (std::uint32_t i = 0; i < strip.n_phi; i += 7) {
    for (std::uint32_t j = 0; j < strip.n_c; j += 5) {
      const double phi = radians({(i + 0.5) * strip.phi_step_deg});
      const double c = radians({strip.c_edge_deg + (j + 0.5) * strip.c_step_deg});
      const double wanted =
          made_up_height(std::cos(c), -std::sin(c) * std::sin(phi), std::sin(c) * std::cos(phi));
      worst = std::max(worst, std::abs(strip.height_km(i, j) - wanted) * 1000);
    }
  }
  return worst;
}

std::string replaced(std::string text, const std::string& what, const std::string& with) {
  const auto at = text.find(what);
  REQUIRE(at != std::string::npos);
  return text.replace(at, what.size(), with);
}

std::string refusal(const std::string& label) {
  auto read = parse_elevation_label(label);
  REQUIRE_FALSE(read);
  CHECK(read.error().size() == 1);
  attach_source(read.error(), "x.lbl", label);
  return to_text(read.error());
}

}  // namespace

TEST_CASE("a strip has the heights of the image it is built from, at any resolution") {
  // Bilinear between pixels a quarter of a degree apart is off by up to curvature / 8, 10 m by rounding.
  for (const auto& [resolution, bound_m] : {std::pair{4U, 20.0}, std::pair{16U, 7.0}, std::pair{20U, 7.0}}) {
    CAPTURE(resolution);
    const auto label = label_of(resolution);
    const auto bytes = made_up_image(label);
    const auto strip = build_strip(label, ElevationImage{label, bytes});
    REQUIRE(strip);
    CHECK(why_no_strip(*strip).empty());
    CHECK(worst_m(*strip) < bound_m);
  }
}

TEST_CASE("the strip built from LDEM_4 gives contacts as its own figures say") {
  const auto image_path = reference_file("limb/LDEM_4.IMG");
  const auto label_path = reference_file("limb/LDEM_4.LBL");
  if (!image_path || !label_path) return;
  const auto label = parse_elevation_label(bytes_of(*label_path));
  REQUIRE(label);
  const auto bytes = bytes_of(*image_path);
  REQUIRE(bytes.size() == label->image_bytes());
  const auto strip = build_strip(*label, ElevationImage{*label, bytes});
  REQUIRE(strip);
  double squares = 0;
  int count = 0;
  for (const auto& row : reference::read_table("limb_vectors_contacts.csv")) {
    const auto* elements =
        contacts::find_elements(contacts::built_in_elements(), *parse_date(row.at("utc_ref").substr(0, 10)));
    if (elements == nullptr) continue;
    contacts::Settings settings;
    settings.dut1 = from_seconds(std::stod(row.at("ut1_utc_s")));
    const contacts::Site site{
        {std::stod(row.at("lat"))}, {std::stod(row.at("lon"))}, {std::stod(row.at("h_m"))}};
    const auto found = limb_contacts(*strip, *elements, site, settings).circumstances;
    const auto reference = *parse_utc(row.at("utc_ref") + ":00Z");
    for (const auto& [name, column] :
         {std::pair{ContactName::c2, "limbC2"}, std::pair{ContactName::c3, "limbC3"}}) {
      CAPTURE(row.at("utc_ref"));
      REQUIRE(found.at(name));
      const double seconds = in_seconds(found.at(name)->utc - reference);
      // The same image without a strip between, computed independently.
      CHECK(std::abs(seconds - std::stod(row.at(std::string{column} + "_ldem4_s"))) < 0.3);
      // Its published difference from a finer model: 0.24 s rms, 0.67 s at most over 81 sites.
      const double finer = seconds - std::stod(row.at(std::string{column} + "_gld64_s"));
      CHECK(std::abs(finer) < 0.75);
      squares += finer * finer;
      ++count;
    }
  }
  CHECK(count == 82);
  CHECK(std::sqrt(squares / count) < 0.3);
}

TEST_CASE("heights no place on the Moon has are refused") {
  const auto label = label_of(4);
  const std::string bytes(label.image_bytes(), '\x7F');
  const auto strip = build_strip(label, ElevationImage{label, bytes});
  REQUIRE_FALSE(strip);
  CHECK(to_text(strip.error()) ==
        "error: the image has a height of 16.320 km\n  wanted: heights on the Moon, -12 to 13 km; is it "
        "another file's label?\n");
}

TEST_CASE("a float image in kilometres is read as well") {
  auto text = label_text(4);
  text = replaced(text, "LSB_INTEGER", "PC_REAL");
  text = replaced(text, "SAMPLE_BITS           = 16", "SAMPLE_BITS = 32");
  text = replaced(text, "UNIT                  = METER", "UNIT = KILOMETER");
  text = replaced(text, "SCALING_FACTOR        = 0.5", "SCALING_FACTOR = 1.");
  text = replaced(text, "1737400.", "1737.4");
  text = replaced(text, "= 2880", "= 5760");
  const auto label = parse_elevation_label(text);
  REQUIRE(label);
  CHECK(label->km_per_unit == 1);
  CHECK(label->reference_radius_km == doctest::Approx(1737.4));
  CHECK(label->image_bytes() == 1440 * 720 * 4);
  std::string bytes;
  const float height = -1.25F;
  for (int n = 0; n < 1440 * 720; ++n) bytes.append(reinterpret_cast<const char*>(&height), sizeof height);
  CHECK(ElevationImage{*label, bytes}.height_km(89.99, 12) == doctest::Approx(-1.25));
}

TEST_CASE("the label of an image that doesn't fit says where") {
  const auto whole = label_text(4);
  CHECK(label_of(4).image_file == "MADE_UP.IMG");
  CHECK(refusal(replaced(whole, "\"SIMPLE CYLINDRICAL\"", "\"POLAR STEREOGRAPHIC\"")) ==
        "x.lbl:23:33: error: MAP_PROJECTION_TYPE is POLAR STEREOGRAPHIC\n"
        "   23 |  MAP_PROJECTION_TYPE          = \"POLAR STEREOGRAPHIC\"\n"
        "      |                                 ^\n"
        "  wanted: SIMPLE CYLINDRICAL\n");
  CHECK(refusal(replaced(whole, "LINES                 = 720", "LINES = 719")) ==
        "x.lbl:13:13: error: LINES is 719\n   13 |     LINES = 719\n      |             ^\n  wanted: 720\n");
  CHECK(refusal(replaced(whole, "SAMPLE_BITS           = 16", "SAMPLE_BITS = 8"))
            .starts_with("x.lbl:16:19: error: SAMPLE_BITS is 8\n"));
  CHECK(refusal(replaced(whole, "LSB_INTEGER", "MSB_INTEGER"))
            .starts_with("x.lbl:15:29: error: SAMPLE_TYPE is MSB_INTEGER\n"));
  CHECK(refusal(replaced(whole, "RECORD_BYTES              = 2880", "RECORD_BYTES = 1440"))
            .starts_with(
                "x.lbl:9:29: error: 720 records of 1440 bytes don't hold 720 lines of 1440 samples\n"));
  CHECK(refusal(replaced(whole, "EASTERNMOST_LONGITUDE        = 360", "EASTERNMOST_LONGITUDE = 180"))
            .starts_with("x.lbl:29:26: error: EASTERNMOST_LONGITUDE is 180\n"));
  CHECK(refusal(replaced(whole, "MEAN EARTH/POLAR AXIS OF DE421", "PRINCIPAL AXIS"))
            .starts_with("x.lbl:30:33: error: COORDINATE_SYSTEM_NAME is PRINCIPAL AXIS\n"));
  CHECK(refusal(replaced(whole, " MAP_RESOLUTION               = 4 <pix/deg>\n", ""))
            .starts_with("x.lbl:1:1: error: MAP_RESOLUTION is missing\n"));
}

TEST_CASE("what is no label is refused where it stops being one") {
  const auto whole = label_text(4);
  CHECK(refusal("").starts_with("x.lbl:1:1: error: the label ends without END\n"));
  CHECK(refusal("LLB1").starts_with("x.lbl:1:5: error: no \"=\" behind LLB1\n"));
  CHECK(refusal(std::string("\x01\x02", 2)).starts_with("x.lbl:1:1: error: no keyword here\n"));
  CHECK(refusal("A = ").starts_with("x.lbl:1:5: error: the label ends where a value is wanted\n"));
  CHECK(refusal("A = \"b\nEND\n").starts_with("x.lbl:1:5: error: a quoted text without end\n"));
  CHECK(refusal("/* A = b\nEND\n").starts_with("x.lbl:1:1: error: a comment without end\n"));
  CHECK(refusal("OBJECT = IMAGE\nEND\n").starts_with("x.lbl:2:4: error: OBJECT IMAGE has no END_OBJECT\n"));
  CHECK(refusal("OBJECT = IMAGE\nEND_OBJECT = FILE\n")
            .starts_with("x.lbl:2:14: error: END_OBJECT FILE where IMAGE is open\n"));
  CHECK(refusal(whole.substr(0, whole.size() / 2)).starts_with("x.lbl:"));
}
