#include "lib/limb/strip.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstddef>
#include <cstring>

#include <fmt/format.h>
#include <zlib.h>

namespace noonfall::limb {
namespace {

static_assert(std::endian::native == std::endian::little, "the format is little-endian and copied as it is");

constexpr std::string_view magic = "LLB1";
constexpr std::uint16_t version = 2;
constexpr std::uint16_t version_without_header_checksum = 1;
constexpr double moon_radius_km = 1737.4;
constexpr double lowest_km = -12;
constexpr double highest_km = 13;

/// As it stands at the beginning of the file.
struct FileHeader {
  char magic[4];
  std::uint16_t version;
  std::uint16_t header_bytes;
  std::uint32_t n_phi;
  std::uint32_t n_c;
  double phi_step_deg;
  double c_edge_deg;
  double c_step_deg;
  double quantum_km;
  double reference_radius_km;
  std::uint32_t payload_bytes;
  std::uint32_t crc;  // of all that stands before it and the decoded cells; in version 1 of the cells alone
};
static_assert(sizeof(FileHeader) == 64);

Failure broken(std::string message) {
  return fail(error_at({}, "limb-data", std::move(message),
                       "a strip of lunar heights, such as `noonfall limb build` makes"));
}

std::uint32_t crc_of(const FileHeader& header, const std::vector<std::int16_t>& cells) {
  const auto* before = reinterpret_cast<const Bytef*>(&header);
  const auto begun =
      header.version == version_without_header_checksum ? 0 : crc32_z(0, before, offsetof(FileHeader, crc));
  const auto* bytes = reinterpret_cast<const Bytef*>(cells.data());
  return static_cast<std::uint32_t>(crc32_z(begun, bytes, cells.size() * sizeof cells[0]));
}

/// What the plane through the three neighbours before a cell says of it.
std::int32_t foreseen(const Strip& strip, std::size_t i, std::size_t j) {
  const auto* row = strip.cells.data() + i * strip.n_c;
  const auto left = j > 0 ? row[j - 1] : 0;
  if (i == 0) return left;
  const auto* before = row - strip.n_c;
  return left + before[j] - (j > 0 ? before[j - 1] : 0);
}

class VarintReader {
 public:
  explicit VarintReader(std::string_view bytes) : at_(bytes.data()), end_(bytes.data() + bytes.size()) {}

  /// The next zigzag number; false at the end, or when it is no number of 32 bits.
  bool next(std::int32_t& value) {
    std::uint32_t raw = 0;
    for (int shift = 0; shift < 35 && at_ != end_; shift += 7) {
      const auto byte = static_cast<std::uint8_t>(*at_++);
      raw |= static_cast<std::uint32_t>(byte & 0x7FU) << shift;
      if (byte >= 0x80) continue;
      value = static_cast<std::int32_t>(raw >> 1U) ^ -static_cast<std::int32_t>(raw & 1U);
      return true;
    }
    return false;
  }
  [[nodiscard]] bool at_end() const { return at_ == end_; }

 private:
  const char* at_;
  const char* end_;
};

void append_varint(std::string& out, std::int32_t value) {
  auto raw = (static_cast<std::uint32_t>(value) << 1U) ^ static_cast<std::uint32_t>(value >> 31);
  for (; raw >= 0x80; raw >>= 7U) out += static_cast<char>(raw | 0x80U);
  out += static_cast<char>(raw);
}

Result<FileHeader> read_header(std::string_view bytes) {
  FileHeader header{};
  if (!bytes.starts_with(magic)) return broken("the file isn't a strip of lunar heights");
  if (bytes.size() < sizeof header)
    return broken(fmt::format("the strip ends within its header, after {} bytes", bytes.size()));
  std::memcpy(&header, bytes.data(), sizeof header);
  const bool known = header.version == version || header.version == version_without_header_checksum;
  if (!known || header.header_bytes != sizeof header)
    return broken(fmt::format("the strip is of version {} with a header of {} bytes, not {} with {}",
                              header.version, header.header_bytes, version, sizeof header));
  const auto rest = bytes.size() - sizeof header;
  if (rest != header.payload_bytes)
    return broken(
        fmt::format("the strip has {} bytes of heights, its header says {}", rest, header.payload_bytes));
  return header;
}

Result<void> decode(std::string_view payload, Strip& strip) {
  VarintReader reader{payload};
  strip.cells.resize(std::size_t{strip.n_phi} * strip.n_c);
  for (std::size_t i = 0; i < strip.n_phi; ++i) {
    for (std::size_t j = 0; j < strip.n_c; ++j) {
      std::int32_t residual = 0;
      if (!reader.next(residual))
        return broken(
            fmt::format("the heights break off at cell {} of {}", i * strip.n_c + j + 1, strip.cells.size()));
      const auto height = std::int64_t{foreseen(strip, i, j)} + residual;
      if (height < INT16_MIN || height > INT16_MAX)
        return broken(fmt::format("height {} of cell {} is beyond 16 bits", height, i * strip.n_c + j + 1));
      strip.cells[i * strip.n_c + j] = static_cast<std::int16_t>(height);
    }
  }
  if (!reader.at_end()) return broken("bytes are left over behind the last height");
  return {};
}

bool between(double low, double value, double high) {
  return value >= low && value <= high;  // no NaN is
}

/// Version 1 has its header outside the checksum, so nothing vouches for a layout but that every such file
/// was made with the same: 75 to 103 degrees by 1/16, heights in units of 10 m above 1737.4 km.
bool is_laid_out_as_version_1(const FileHeader& header) {
  return header.n_c == 448 && header.c_edge_deg == 75 && header.c_step_deg == 1.0 / 16 &&
         header.phi_step_deg == 360.0 / header.n_phi && header.quantum_km == 0.01 &&
         header.reference_radius_km == moon_radius_km;
}

/// The Moon's heights about its centre of mass are -9.2 to 10.8 km (LOLA): whatever else was made, with a
/// checksum to it, is no Moon.
std::string why_no_heights(const Strip& strip) {
  const auto [low, high] = std::minmax_element(strip.cells.begin(), strip.cells.end());
  const double above_km = strip.reference_radius_km - moon_radius_km;
  for (const auto cell : {*low, *high}) {
    const double height = strip.quantum_km * cell + above_km;
    if (!between(lowest_km, height, highest_km))
      return fmt::format("the strip has a height of {:.1f} km, the Moon {:g} to {:g}", height, lowest_km,
                         highest_km);
  }
  return {};
}

}  // namespace

std::string why_no_strip(const Strip& strip) {
  constexpr std::uint32_t finest = 512 * 360;
  if (strip.n_phi < 90 || strip.n_phi > finest || strip.n_c < 7 || strip.n_c > finest)
    return fmt::format("a strip of {} by {} cells", strip.n_phi, strip.n_c);
  if (!(std::abs(strip.phi_step_deg * strip.n_phi - 360) < 1e-6))
    return fmt::format("{} cells of {} degrees, which don't go once around", strip.n_phi, strip.phi_step_deg);
  if (!(strip.c_step_deg > 0 && between(60, strip.c_edge_deg, 76) &&
        between(102, strip.c_edge_deg + strip.c_step_deg * strip.n_c, 120)))
    return fmt::format("a strip from {} degrees by {} of {}, where 76 to 102 must be covered",
                       strip.c_edge_deg, strip.n_c, strip.c_step_deg);
  if (!between(1e-4, strip.quantum_km, 0.1))
    return fmt::format("heights in units of {} km", strip.quantum_km);
  if (!between(1730, strip.reference_radius_km, 1745))
    return fmt::format("heights above a radius of {} km", strip.reference_radius_km);
  return {};
}

Result<Strip> parse_strip(std::string_view bytes) {
  const auto header = read_header(bytes);
  if (!header) return fail(header.error());
  Strip strip{header->n_phi,      header->n_c,        header->phi_step_deg,        header->c_edge_deg,
              header->c_step_deg, header->quantum_km, header->reference_radius_km, {}};
  if (const auto why = why_no_strip(strip); !why.empty()) return broken("the strip's header has " + why);
  if (header->version == version_without_header_checksum && !is_laid_out_as_version_1(*header))
    return broken("the strip's header is none that version 1 was ever made with: the file is damaged");
  // a height takes a byte at least: nothing is reserved for what can't come
  const auto cells = std::uint64_t{strip.n_phi} * strip.n_c;
  if (cells > header->payload_bytes)
    return broken(fmt::format("{} heights can't be in {} bytes", cells, header->payload_bytes));
  auto decoded = decode(bytes.substr(sizeof(FileHeader)), strip);
  if (!decoded) return fail(std::move(decoded.error()));
  if (crc_of(*header, strip.cells) != header->crc)
    return broken("the strip doesn't match its checksum: the file is damaged");
  if (const auto why = why_no_heights(strip); !why.empty()) return broken(why);
  return strip;
}

std::string to_bytes(const Strip& strip) {
  std::string payload;
  for (std::size_t i = 0; i < strip.n_phi; ++i) {
    for (std::size_t j = 0; j < strip.n_c; ++j)
      append_varint(payload, strip.cells[i * strip.n_c + j] - foreseen(strip, i, j));
  }
  FileHeader header{.magic = {},
                    .version = version,
                    .header_bytes = sizeof(FileHeader),
                    .n_phi = strip.n_phi,
                    .n_c = strip.n_c,
                    .phi_step_deg = strip.phi_step_deg,
                    .c_edge_deg = strip.c_edge_deg,
                    .c_step_deg = strip.c_step_deg,
                    .quantum_km = strip.quantum_km,
                    .reference_radius_km = strip.reference_radius_km,
                    .payload_bytes = static_cast<std::uint32_t>(payload.size()),
                    .crc = 0};
  std::memcpy(header.magic, magic.data(), magic.size());
  header.crc = crc_of(header, strip.cells);
  std::string bytes(sizeof header, '\0');
  std::memcpy(bytes.data(), &header, sizeof header);
  return bytes + payload;
}

}  // namespace noonfall::limb
