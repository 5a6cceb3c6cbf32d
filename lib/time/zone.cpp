#include "lib/time/zone.h"

#include <algorithm>
#include <cstdint>
#include <optional>
#include <utility>

namespace noonfall {
namespace {

using std::chrono::seconds;

/// Big-endian numbers one after the other; past the end there is none.
class Bytes {
 public:
  explicit Bytes(std::string_view bytes) : left_{bytes} {}

  [[nodiscard]] std::size_t left() const { return left_.size(); }
  std::optional<std::string_view> take(std::uint64_t size) {
    if (size > left_.size()) return std::nullopt;
    const auto taken = left_.substr(0, static_cast<std::size_t>(size));
    left_.remove_prefix(taken.size());
    return taken;
  }

 private:
  std::string_view left_;
};

std::uint64_t number(std::string_view bytes) {
  std::uint64_t value = 0;
  for (const char byte : bytes) value = value << 8U | static_cast<unsigned char>(byte);
  return value;
}

struct Header {
  char version = 0;
  std::uint64_t ut_marks, standard_marks, leap_seconds, changes, offsets, letters;

  [[nodiscard]] std::uint64_t data_size(std::uint64_t time_size) const {
    return changes * (time_size + 1) + offsets * 6 + letters + leap_seconds * (time_size + 4) +
           standard_marks + ut_marks;
  }
};

std::optional<Header> take_header(Bytes& bytes) {
  constexpr std::size_t size = 44;
  const auto header = bytes.take(size);
  if (!header || !header->starts_with("TZif")) return std::nullopt;
  const auto count = [&](std::size_t n) { return number(header->substr(20 + 4 * n, 4)); };
  return Header{(*header)[4], count(0), count(1), count(2), count(3), count(4), count(5)};
}

/// Two's complement of `size` bytes, in seconds that stay far from the ends of what a time can be.
seconds seconds_of(std::string_view bytes) {
  const auto value =
      bytes.size() == 4 ? static_cast<std::int32_t>(number(bytes)) : static_cast<std::int64_t>(number(bytes));
  constexpr std::int64_t thousand_years = 31'556'952'000;
  return seconds{std::clamp<std::int64_t>(value, -thousand_years, thousand_years)};
}

/// Six bytes: seconds ahead, whether it is summer time, and where its abbreviation begins.
std::optional<ZoneOffset> offset_of(std::string_view entry, std::string_view letters) {
  constexpr std::chrono::hours most{26};
  const auto ahead = seconds_of(entry.substr(0, 4));
  const auto name = static_cast<std::size_t>(number(entry.substr(5, 1)));
  if (name >= letters.size() || std::chrono::abs(ahead) > most) return std::nullopt;
  const auto rest = letters.substr(name);
  return ZoneOffset{ahead, std::string{rest.substr(0, rest.find('\0'))}};
}

Failure damaged() {
  return fail(error_at({}, "zone-file", "the zone file is damaged", "the system's tzdata installed anew"));
}

}  // namespace

Result<Zone> Zone::parse(std::string_view text) {
  Bytes bytes{text};
  auto header = take_header(bytes);
  std::size_t time_size = 4;
  if (header && header->version >= '2') {  // the same again follows, in longer numbers
    if (!bytes.take(header->data_size(time_size))) return damaged();
    header = take_header(bytes);
    time_size = 8;
  }
  if (!header || header->offsets == 0 || header->data_size(time_size) > bytes.left()) return damaged();
  const auto times = *bytes.take(header->changes * time_size);
  const auto which = *bytes.take(header->changes);
  const auto entries = *bytes.take(header->offsets * 6);
  const auto letters = *bytes.take(header->letters);
  Zone zone;
  for (std::size_t n = 0; n < header->offsets; ++n) {
    auto offset = offset_of(entries.substr(n * 6, 6), letters);
    if (!offset) return damaged();
    zone.offsets_.push_back(std::move(*offset));
  }
  for (std::size_t n = 0; n < which.size(); ++n) {
    const Utc from{seconds_of(times.substr(n * time_size, time_size))};
    const auto offset = static_cast<unsigned char>(which[n]);
    const bool earlier = !zone.changes_.empty() && from < zone.changes_.back().from;
    if (offset >= zone.offsets_.size() || earlier) return damaged();
    zone.changes_.push_back({from, offset});
  }
  return zone;
}

const ZoneOffset& Zone::at(Utc instant) const {
  const auto next = std::upper_bound(changes_.begin(), changes_.end(), instant,
                                     [](Utc when, const Change& change) { return when < change.from; });
  return offsets_[next == changes_.begin() ? 0 : std::prev(next)->offset];
}

}  // namespace noonfall
