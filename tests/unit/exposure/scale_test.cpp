#include "lib/exposure/scale.h"

#include <cmath>
#include <string>

#include <doctest/doctest.h>

using namespace noonfall;
using namespace noonfall::exposure;

TEST_CASE("full-stop shutter names stand for powers of two") {
  // ISO 516: nominal against exact series.
  const struct {
    Shutter name;
    double exact_s;
  } pairs[] = {{{1, 8000}, 1.0 / 8192},
               {{1, 4000}, 1.0 / 4096},
               {{1, 2000}, 1.0 / 2048},
               {{1, 1000}, 1.0 / 1024},
               {{1, 500}, 1.0 / 512},
               {{1, 250}, 1.0 / 256},
               {{1, 125}, 1.0 / 128},
               {{1, 60}, 1.0 / 64},
               {{1, 30}, 1.0 / 32},
               {{1, 15}, 1.0 / 16},
               {{1, 8}, 1.0 / 8},
               {{1, 4}, 1.0 / 4},
               {{1, 2}, 1.0 / 2},
               {{1, 1}, 1},
               {{2, 1}, 2},
               {{4, 1}, 4},
               {{8, 1}, 8},
               {{15, 1}, 16},
               {{30, 1}, 32}};
  for (const auto& [name, exact_s] : pairs) {
    CAPTURE(to_text(name));
    CHECK(exact_seconds(name) == doctest::Approx(exact_s).epsilon(1e-12));
  }
}

TEST_CASE("third-stop shutter names stand for the steps between") {
  // Arithmetic of the series 2^(k/3): the thirds around 1/60 are 1/80.6, 1/64 and 1/50.8.
  CHECK(1 / exact_seconds({1, 80}) == doctest::Approx(80.635).epsilon(1e-4));
  CHECK(1 / exact_seconds({1, 50}) == doctest::Approx(50.797).epsilon(1e-4));
}

TEST_CASE("the third-stop names are the ones cameras print") {
  // Common practice, no source.
  std::string names;
  for (const auto shutter : within(third_stop_shutters(), {1, 8000}, {30, 1}))
    names += to_text(shutter) + " ";
  CHECK(names ==
        "1/8000 1/6400 1/5000 1/4000 1/3200 1/2500 1/2000 1/1600 1/1250 1/1000 1/800 1/640 1/500 1/400 1/320 "
        "1/250 1/200 1/160 1/125 1/100 1/80 1/60 1/50 1/40 1/30 1/25 1/20 1/15 1/13 1/10 1/8 1/6 1/5 1/4 "
        "0.3 s 0.4 s 0.5 s 0.6 s 0.8 s 1 s 1.3 s 1.6 s 2 s 2.5 s 3.2 s 4 s 5 s 6 s 8 s 10 s 13 s 15 s 20 s "
        "25 s 30 s ");
  names.clear();
  for (const auto aperture : third_stop_f_numbers()) names += to_text(aperture).substr(2) + " ";
  CHECK(
      names ==
      "1 1.1 1.2 1.4 1.6 1.8 2 2.2 2.5 2.8 3.2 3.5 4 4.5 5 5.6 6.3 7.1 8 9 10 11 13 14 16 18 20 22 25 29 32 "
      "36 40 45 51 57 64 ");
  names.clear();
  for (const auto iso : within(third_stop_isos(), {100}, {25600})) names += to_text(iso).substr(4) + " ";
  CHECK(
      names ==
      "100 125 160 200 250 320 400 500 640 800 1000 1250 1600 2000 2500 3200 4000 5000 6400 8000 10000 12800 "
      "16000 20000 25600 ");
}

TEST_CASE("full-stop f-numbers stand for powers of the square root of two") {
  // ISO 517 series.
  CHECK(exact_value(FNumber{14}) == doctest::Approx(1.41421).epsilon(1e-5));
  CHECK(exact_value(FNumber{28}) == doctest::Approx(2.82843).epsilon(1e-5));
  CHECK(exact_value(FNumber{56}) == doctest::Approx(5.65685).epsilon(1e-5));
  CHECK(exact_value(FNumber{80}) == doctest::Approx(8));
  CHECK(exact_value(FNumber{110}) == doctest::Approx(11.3137).epsilon(1e-5));
  CHECK(exact_value(FNumber{220}) == doctest::Approx(22.6274).epsilon(1e-5));
  CHECK(exact_value(FNumber{450}) == doctest::Approx(45.2548).epsilon(1e-5));
}

TEST_CASE("no name on the scales lies further than 0.15 stop from what it stands for") {
  // The largest known deviation is that of 1/60, 1/30, 1/15, 15 s and 30 s, 0.093 stop; f/1.2 and f/3.5,
  // which trade names round down, come next; ISO 6 and 12 are films' names.
  for (const auto shutter : third_stop_shutters()) {
    CAPTURE(to_text(shutter));
    CHECK(std::abs(std::log2(nominal_seconds(shutter) / exact_seconds(shutter))) < 0.095);
  }
  for (const auto aperture : third_stop_f_numbers()) {
    CAPTURE(to_text(aperture));
    CHECK(std::abs(2 * std::log2(aperture.tenths / 10.0 / exact_value(aperture))) < 0.15);
  }
  for (const auto iso : third_stop_isos()) {
    CAPTURE(to_text(iso));
    CHECK(std::abs(std::log2(iso.value / exact_value(iso))) < 0.1);
  }
}

TEST_CASE("neighbours on the scales are a third of a stop apart and rise") {
  const auto shutters = third_stop_shutters();
  for (std::size_t i = 1; i < shutters.size(); ++i) {
    CAPTURE(to_text(shutters[i]));
    CHECK(shorter(shutters[i - 1], shutters[i]));
    CHECK(std::log2(exact_seconds(shutters[i]) / exact_seconds(shutters[i - 1])) == doctest::Approx(1.0 / 3));
  }
}

TEST_CASE("names off the scale stand for themselves") {
  CHECK(exact_seconds({1, 90}) == doctest::Approx(1.0 / 90));
  CHECK(exact_seconds({60, 1}) == 60);
  CHECK(exact_value(FNumber{440}) == 44);
  CHECK(exact_value(Iso{110}) == 110);
}

TEST_CASE("the nearest choice is nearest in stops") {
  const Shutter choices[] = {{1, 1000}, {1, 250}, {1, 60}};
  CHECK(nearest(Seconds{1.0 / 800}, choices)->value == Shutter{1, 1000});
  // The middle of 1/1024 and 1/256 in stops is 1/512; by difference it would be 1/410.
  CHECK(nearest(Seconds{1.0 / 520}, choices)->value == Shutter{1, 1000});
  CHECK(nearest(Seconds{1.0 / 500}, choices)->value == Shutter{1, 250});
  CHECK(nearest(Shutter{1, 500}, choices) == Nearest<Shutter>{{1, 1000}, Stops{-1}});
  CHECK(nearest(Seconds{100}, choices)->value == Shutter{1, 60});
  CHECK_FALSE(nearest(Seconds{1}, std::span<const Shutter>{}));
}

TEST_CASE("a choice matches what was wanted within a sixth of a stop") {
  const Shutter choices[] = {{1, 1000}};
  CHECK(nearest(Seconds{std::exp2(-10 + 0.16)}, choices)->matches());
  CHECK(nearest(Seconds{std::exp2(-10 - 0.16)}, choices)->matches());
  CHECK_FALSE(nearest(Seconds{std::exp2(-10 + 0.17)}, choices)->matches());
  CHECK_FALSE(nearest(Seconds{std::exp2(-10 - 0.17)}, choices)->matches());
}

TEST_CASE("the sign of the distance is that of the light") {
  const FNumber apertures[] = {{56}};
  CHECK(nearest(FNumber{80}, apertures)->off.value == doctest::Approx(1));  // wider: more light
  const Iso isos[] = {{800}};
  CHECK(nearest(Iso{3200}, isos)->off.value == doctest::Approx(-2));
}

TEST_CASE("choices are cut to limits with both limits kept") {
  CHECK(within(third_stop_shutters(), {1, 500}, {1, 250}) ==
        std::vector<Shutter>{{1, 500}, {1, 400}, {1, 320}, {1, 250}});
  CHECK(within(third_stop_isos(), {100}, {200}) == std::vector<Iso>{{100}, {125}, {160}, {200}});
  CHECK(within(third_stop_f_numbers(), {80}, {80}) == std::vector<FNumber>{{80}});
  CHECK(within(third_stop_f_numbers(), {90}, {80}).empty());
}
