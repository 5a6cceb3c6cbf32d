// The file of lunar heights: what is read from it, and what is refused.
#include <algorithm>
#include <cstring>

#include <rapidcheck.h>
#include <zlib.h>

#include "tests/unit/limb/strips.h"

using namespace noonfall;
using namespace noonfall::limb;
using namespace noonfall::tests;

namespace {

/// A few hills, so that residuals of every sign and size occur.
Strip hills() {
  auto strip = smooth_strip(1737.4);
  for (std::size_t n = 0; n < strip.cells.size(); ++n)
    strip.cells[n] = static_cast<std::int16_t>((n * n * 7919) % 1500) - 700;
  strip.quantum_km = 1e-4;
  strip.cells[5] = INT16_MIN;
  strip.cells[6] = INT16_MAX;
  return strip;
}

template <class T>
std::string with(std::string bytes, std::size_t at, T value) {
  std::memcpy(bytes.data() + at, &value, sizeof value);
  return bytes;
}

std::string refusal(const std::string& bytes) {
  const auto read = parse_strip(bytes);
  REQUIRE_FALSE(read);
  CHECK(read.error().size() == 1);
  CHECK(read.error()[0].code == "limb-data");
  CHECK_FALSE(read.error()[0].hint.empty());
  return read.error()[0].message;
}

/// As `limb build` makes them, with a degree and more of slopes of every size.
Strip as_built() {
  Strip strip{1440,     448,  0.25,   75,
              1.0 / 16, 0.01, 1737.4, std::vector<std::int16_t>(std::size_t{1440} * 448)};
  for (std::size_t n = 0; n < strip.cells.size(); ++n)
    strip.cells[n] = static_cast<std::int16_t>((n * 7919) % 900) - 450;
  return strip;
}

/// The same heights in version 1, whose checksum is over the heights alone.
std::string as_version_1(const Strip& strip) {
  const auto* cells = reinterpret_cast<const Bytef*>(strip.cells.data());
  const auto crc = crc32_z(0, cells, strip.cells.size() * 2);
  return with(with(to_bytes(strip), 4, std::uint16_t{1}), 60, static_cast<std::uint32_t>(crc));
}

/// Whole files that differ from `bytes` in one bit of the header.
template <class Judge>
void for_each_flip(const std::string& bytes, Judge judge) {
  for (std::size_t bit = 0; bit < 64 * 8; ++bit) {
    auto flipped = bytes;
    flipped[bit / 8] = static_cast<char>(flipped[bit / 8] ^ (1 << bit % 8));
    CAPTURE(bit);
    judge(flipped);
  }
}

}  // namespace

TEST_CASE("a strip with any one bit of its header flipped is refused") {
  for_each_flip(to_bytes(hills()), [](const std::string& flipped) { (void)refusal(flipped); });
}

TEST_CASE("version 1 is read, and a flipped bit of its header never makes it another strip") {
  const auto bytes = as_version_1(as_built());
  const auto whole = parse_strip(bytes);
  REQUIRE(whole);
  REQUIRE(*whole == as_built());
  for_each_flip(bytes, [&](const std::string& flipped) {
    const auto read = parse_strip(flipped);
    CHECK((!read || *read == *whole));
  });
}

TEST_CASE("version 1 is refused with a layout it was never made with, however sound") {
  CHECK(refusal(as_version_1(hills())) ==
        "the strip's header is none that version 1 was ever made with: the file is damaged");
}

TEST_CASE("the reference strip has the cells and the extreme heights its maker states") {
  const auto* strip = gld100_strip();
  if (strip == nullptr) return;
  CHECK(strip->n_phi == 5760);
  CHECK(strip->n_c == 448);
  CHECK(strip->reference_radius_km == 1737.4);
  const auto [low, high] = std::minmax_element(strip->cells.begin(), strip->cells.end());
  CHECK(strip->quantum_km * *low == doctest::Approx(-7.59).epsilon(1e-9));
  CHECK(strip->quantum_km * *high == doctest::Approx(6.91).epsilon(1e-9));
}

TEST_CASE("the reference strip is written again byte for byte, but for version and checksum") {
  const auto* strip = gld100_strip();
  if (strip == nullptr) return;
  auto written = to_bytes(*strip);
  const auto made = bytes_of(*reference_file("limb/lunar_limb_16x16.llb"));
  written.replace(4, 2, made, 4, 2);
  written.replace(60, 4, made, 60, 4);
  CHECK(written == made);
}

TEST_CASE("a strip written is read as it was") {
  const auto read = parse_strip(to_bytes(hills()));
  REQUIRE(read);
  CHECK(*read == hills());
}

TEST_CASE("any heights come back as they were") {
  CHECK(rc::check([] {
    auto strip = smooth_strip(1737.4);
    strip.quantum_km = 1e-4;
    for (int n = 0; n < 200; ++n)
      strip.cells[*rc::gen::inRange<std::size_t>(0, strip.cells.size())] =
          *rc::gen::arbitrary<std::int16_t>();
    const auto read = parse_strip(to_bytes(strip));
    RC_ASSERT(read.has_value());
    RC_ASSERT(*read == strip);
  }));
}

TEST_CASE("a damaged strip is refused with what is wrong with it") {
  const auto whole = to_bytes(hills());
  CHECK(refusal("") == "the file isn't a strip of lunar heights");
  CHECK(refusal("PDS_VERSION_ID = PDS3") == "the file isn't a strip of lunar heights");
  CHECK(refusal(whole.substr(0, 40)) == "the strip ends within its header, after 40 bytes");
  CHECK(refusal(with(whole, 4, std::uint16_t{3})) ==
        "the strip is of version 3 with a header of 64 bytes, not 2 with 64");
  CHECK(refusal(whole.substr(0, whole.size() - 1)).starts_with("the strip has "));
  CHECK(refusal(with(whole, 60, std::uint32_t{1})) ==
        "the strip doesn't match its checksum: the file is damaged");
  auto flipped = whole;
  flipped[flipped.size() / 2] ^= 1;
  (void)refusal(flipped);
}

TEST_CASE("headers no Moon has are refused before anything is reserved for them") {
  const auto whole = to_bytes(hills());
  CHECK(refusal(with(whole, 8, std::uint32_t{0xFFFFFFFF})) ==
        "the strip's header has a strip of 4294967295 by 60 cells");
  CHECK(refusal(with(with(whole, 8, std::uint32_t{184320}), 16, 360.0 / 184320)).ends_with(" bytes"));
  CHECK(refusal(with(whole, 12, std::uint32_t{0})) == "the strip's header has a strip of 720 by 0 cells");
  CHECK(refusal(with(whole, 16, 0.25)) ==
        "the strip's header has 720 cells of 0.25 degrees, which don't go once around");
  CHECK(refusal(with(whole, 24, 80.0)) ==
        "the strip's header has a strip from 80 degrees by 60 of 0.5, where 76 to 102 must be covered");
  CHECK(refusal(with(whole, 40, 0.0)) == "the strip's header has heights in units of 0 km");
  CHECK(refusal(with(whole, 48, std::nan(""))) == "the strip's header has heights above a radius of nan km");
}

TEST_CASE("heights the Moon hasn't are refused, whatever their checksum says") {
  // LOLA: -9.12 to +10.79 km about 1737.4 km (LDEM labels). The reference strip's unit, 10 m, made 100 m.
  auto strip = smooth_strip(1737.4);
  strip.cells[7] = -759;
  CHECK(parse_strip(to_bytes(strip)).has_value());
  strip.quantum_km = 0.1;
  CHECK(refusal(to_bytes(strip)) == "the strip has a height of -75.9 km, the Moon -12 to 13");
  strip.quantum_km = 0.01;
  strip.cells[7] = 1400;
  CHECK(refusal(to_bytes(strip)) == "the strip has a height of 14.0 km, the Moon -12 to 13");
}

TEST_CASE("heights that run on past the end, or into a number of more than 32 bits, are refused") {
  auto whole = to_bytes(smooth_strip(1737.4));  // one byte a cell
  whole.back() = static_cast<char>(0x80);
  CHECK(refusal(whole) == "the heights break off at cell 43200 of 43200");
  std::fill(whole.end() - 10, whole.end(), static_cast<char>(0xFF));
  CHECK(refusal(whole) == "the heights break off at cell 43191 of 43200");
  auto more = to_bytes(smooth_strip(1737.4)) + '\0';
  more = with(more, 56, std::uint32_t{43201});
  CHECK(refusal(more) == "bytes are left over behind the last height");
  // two steps up of 32767 each
  auto high = to_bytes(smooth_strip(1737.4));
  high.replace(64, 2, "\xFE\xFF\x03\xFE\xFF\x03");
  high = with(high, 56, std::uint32_t{43204});
  CHECK(refusal(high) == "height 65534 of cell 2 is beyond 16 bits");
}
