// Small pictures of the filtered Sun, judged against the sky they were made of: a renderer that knows nothing
// of the judge.
#include <algorithm>
#include <cmath>
#include <vector>

#include <doctest/doctest.h>

#include "lib/contacts/circumstances.h"
#include "lib/contacts/sky_track.h"
#include "lib/exposure/scale.h"
#include "lib/look/sun_watch.h"
#include "lib/time/utc_text.h"
#include "lib/timeline/filtered_sun.h"
#include "sim/sky/exposed.h"

using namespace noonfall;
using namespace std::chrono_literals;
using contacts::ContactName;
using doctest::Approx;
using look::Trouble;

namespace {

/// A day, a place and a lens.
class Field {
 public:
  explicit Field(const contacts::Site& site)
      : site_{site},
        scene_{elements(), settings(), site, nullptr},
        sky_{contacts::circumstances(elements(), site, settings())} {
    imager_.focal_length = Millimetres{500};
    imager_.width = 160;
    imager_.height = 107;
  }

  double filter_dark = 0;  // stops
  double magnitudes = exposure::clear_air_magnitudes;
  double blur_radius = 0;  // pixels, of a lens out of focus
  double aside = 0;        // solar radii that the camera points too far to the left

  [[nodiscard]] Utc at(ContactName name) const { return sky_.at(name)->utc; }
  [[nodiscard]] const contacts::Circumstances& sky() const { return sky_; }
  [[nodiscard]] const timeline::FilteredLight& light() const { return light_; }

  /// By the exposure table, as a plan has it, and a trim.
  [[nodiscard]] exposure::Exposure exposure_at(Utc when, double trim) const {
    const exposure::Exposure tried{{1, 1000}, exposure::FNumber{80}, {200}};
    const auto wrong = timeline::sight_of(light_, sky_, tried, when, {})->exposed.value - trim;
    const auto seconds = exposure::exact_seconds(tried.shutter) * std::exp2(-wrong);
    auto best = tried;
    for (const auto shutter : exposure::third_stop_shutters())
      if (std::abs(std::log2(exposure::exact_seconds(shutter) / seconds)) <
          std::abs(std::log2(exposure::exact_seconds(best.shutter) / seconds)))
        best.shutter = shutter;
    return best;
  }

  [[nodiscard]] look::Thumbnail picture(Utc when, const exposure::Exposure& exposure) const {
    auto aim = scene_.at(when);
    auto imager = imager_;
    // To see the Sun aside, a mount that stays is pointed at where it will be.
    if (aside != 0) {
      imager.mount = plan::Mount::fixed;
      aim = scene_.at(when + from_seconds(aside * 64));
    }
    sim::Shooting shooting{when, when + 1ms, exposure,  5.0 + filter_dark * std::log10(2.0),
                           aim,  7,          magnitudes};
    const auto shown =
        sim::exposed(sim::radiance(scene_, sim::Corona{1}, imager, shooting), imager, shooting);
    look::Thumbnail out{imager.width, imager.height, sim::to_srgb(shown)};
    return blur_radius > 0 ? blurred(out) : out;
  }

  [[nodiscard]] look::Sight sight(Utc when, double trim = 0) const {
    const auto exposure = exposure_at(when, trim);
    return *timeline::sight_of(light_, sky_, exposure, when, look::see(picture(when, exposure)));
  }

 private:
  static const contacts::Elements& elements() {
    return *contacts::find_elements(contacts::built_in_elements(), *parse_date("2027-08-02"));
  }
  static contacts::Settings settings() {
    const auto& leaps = built_in_leap_seconds();
    return contacts::settings_for(leaps, to_utc(elements().greatest(), leaps), Duration{50'000});
  }
  /// The mean of a square: crude, and soft enough.
  [[nodiscard]] look::Thumbnail blurred(const look::Thumbnail& sharp) const {
    auto out = sharp;
    const int reach = static_cast<int>(blur_radius);
    for (int y = 0; y < sharp.height; ++y)
      for (int x = 0; x < sharp.width * 3; ++x) {
        int sum = 0;
        int count = 0;
        for (int dy = -reach; dy <= reach; ++dy)
          for (int dx = -reach; dx <= reach; ++dx) {
            const int row = y + dy;
            const int column = x + 3 * dx;
            if (row < 0 || row >= sharp.height || column < 0 || column >= sharp.width * 3) continue;
            sum += sharp.rgb[static_cast<std::size_t>(row * sharp.width * 3 + column)];
            ++count;
          }
        out.rgb[static_cast<std::size_t>(y * sharp.width * 3 + x)] = static_cast<std::uint8_t>(sum / count);
      }
    return out;
  }

  contacts::Site site_;
  sim::Scene scene_;
  contacts::Circumstances sky_;
  sim::Imager imager_;
  timeline::FilteredLight light_{exposure::brightness_of({exposure::SubjectKind::photosphere}, 5)->middle()};
};

const contacts::Site headland{{36.0139}, {-5.6033}, {12}};  // the Sun from 24 to 37 degrees
const contacts::Site river{{25.7}, {32.64}, {80}};          // from 61 to 82 degrees
const contacts::Site sea{{38.5}, {-30.0}, {5}};             // partial, soon after sunrise

}  // namespace

TEST_CASE(
    "filter and sky are measured within 0.15 stop in a partial phase, by a person who takes the proposals") {
  for (const auto& site : {headland, river, sea}) {
    Field field{site};
    const auto last = site.longitude.value == sea.longitude.value ? ContactName::mid : ContactName::c2;
    for (const double dark : {-1.0, -0.4, 0.0, 0.6, 1.0}) {
      for (const double magnitudes : {0.1, 0.2, 0.3, 0.4}) {
        field.filter_dark = dark;
        field.magnitudes = magnitudes;
        look::SunWatch watch{field.light().magnitudes_per_airmass};
        double trim = 0;
        double airmass = 0;
        for (auto when = field.at(ContactName::c1); when < field.at(last) - 1min; when += 4min) {
          const auto sight = field.sight(when, trim);
          const auto finding = watch.take(sight, trim);
          airmass = sight.airmass;
          if (finding.trim) trim += *finding.trim;
        }
        INFO("latitude ", site.latitude.value, " dark ", dark, " magnitudes ", magnitudes);
        const auto light = watch.light();
        REQUIRE(light);
        const double more = 0.4 * std::log2(10.0) * (magnitudes - exposure::clear_air_magnitudes);
        CHECK(std::abs(light->dark_at(airmass).value - dark - more * airmass) < 0.15);
        CHECK(std::abs(light->dark.value - dark) < 0.15);
        CHECK(light->scatter.value < 0.15);
        // Half a stop may stay, by which nobody is called.
        CHECK(std::abs(dark + more * airmass - trim) < 0.5 + 0.15);
      }
    }
  }
}

TEST_CASE("a cloud counts little, and one that stays is called thin cloud, with no trim proposed") {
  Field field{headland};
  look::SunWatch watch{field.light().magnitudes_per_airmass};
  const auto c1 = field.at(ContactName::c1);
  look::Finding finding;
  for (int n = 0; n < 10; ++n) {
    field.filter_dark = n == 5 ? 2.5 : 0.2;
    finding = watch.take(field.sight(c1 + n * 3min), 0);
  }
  CHECK(finding.trouble == Trouble::cloud);  // of the last six, one was a cloud
  CHECK(std::abs(watch.light()->dark.value - 0.2) < 0.15);
  for (int n = 10; n < 15; ++n) finding = watch.take(field.sight(c1 + n * 3min), 0);
  CHECK(finding.trouble == Trouble::none);
  for (int n = 15; n < 17; ++n) {
    field.filter_dark = n % 2 == 0 ? 0.2 : 1.4;
    finding = watch.take(field.sight(c1 + n * 3min), 0);
    CHECK_FALSE(finding.trim);
  }
  CHECK(finding.words.find("thin cloud") != std::string::npos);
}

TEST_CASE("a dark filter is told with the time it shows since, and the trim that mends it in thirds") {
  Field field{headland};
  field.filter_dark = 0.7;
  look::SunWatch watch{field.light().magnitudes_per_airmass};
  const auto c1 = field.at(ContactName::c1);
  std::vector<look::Finding> findings;
  for (int n = 0; n < 5; ++n) findings.push_back(watch.take(field.sight(c1 + n * 3min), 0));
  CHECK_FALSE(findings[2].trim);  // three pictures aren't enough
  REQUIRE(findings[4].trim);
  CHECK(*findings[4].trim == Approx(2.0 / 3));
  CHECK(findings[4].words.find("0.7 stop dark since " + to_text_us(c1).substr(11, 5) + " UTC") == 0);
  // Taken, it is as it should be.
  CHECK(watch.take(field.sight(c1 + 15min, 2.0 / 3), 2.0 / 3).trouble == Trouble::none);
}

TEST_CASE("a cap, a Sun at the edge and a lens out of focus are told, with who has to go there") {
  Field field{headland};
  look::SunWatch watch{field.light().magnitudes_per_airmass};
  const auto c1 = field.at(ContactName::c1);
  for (int n = 0; n < 3; ++n) CHECK(watch.take(field.sight(c1 + n * 3min), 0).trouble == Trouble::none);
  SUBCASE("black: hands at the second picture") {
    field.filter_dark = 20;
    CHECK_FALSE(watch.take(field.sight(c1 + 9min), 0).hands);
    const auto finding = watch.take(field.sight(c1 + 12min), 0);
    CHECK(finding.trouble == Trouble::black);
    CHECK(finding.hands);
  }
  SUBCASE("soft: at the second likewise") {
    field.blur_radius = 4;
    CHECK(watch.take(field.sight(c1 + 9min), 0).trouble == Trouble::none);
    const auto finding = watch.take(field.sight(c1 + 12min), 0);
    CHECK(finding.trouble == Trouble::soft);
    CHECK(finding.hands);
  }
  SUBCASE("cut off: the Sun, which climbs to the right here, isn't there yet") {
    field.aside = 7;
    const auto finding = watch.take(field.sight(c1 + 9min), 0);
    CHECK(finding.trouble == Trouble::cut_off);
    CHECK(finding.hands);
    CHECK(finding.words.find("the lower edge of the frame: turn the camera down") != std::string::npos);
  }
}

TEST_CASE("what isn't a picture of the Sun is black, and no picture is") {
  CHECK(look::see({}).is_black());
  CHECK(look::see({4, 4, {1, 2, 3}}).is_black());
  CHECK(look::see({-1, 7, {}}).is_black());
  CHECK(look::see({8, 8, std::vector<std::uint8_t>(192, 3)}).is_black());
  const auto white = look::see({8, 8, std::vector<std::uint8_t>(192, 255)});
  CHECK(white.clipped == 1);
  CHECK(white.is_cut_off());
}
