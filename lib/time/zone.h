// Civil time at a place: which offset from UTC is in force when, from the bytes of a zone file.
#pragma once

#include <cstddef>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "lib/base/result.h"
#include "lib/time/utc.h"

namespace noonfall {

/// Time of day somewhere else than at Greenwich, like "10:51:12.3"; an empty function for UTC alone.
using LocalClock = std::function<std::string(Utc)>;

struct ZoneOffset {
  Duration ahead{};          // of UTC
  std::string abbreviation;  // "CEST"
  bool operator==(const ZoneOffset&) const = default;
};

class Zone {
 public:
  /// A TZif file as RFC 8536 has it, of any version. What is damaged is refused, whatever its bytes. The rule
  /// at its end for instants after the last one listed isn't used: the offset of then goes on.
  [[nodiscard]] static Result<Zone> parse(std::string_view bytes);

  [[nodiscard]] const ZoneOffset& at(Utc instant) const;
  /// The zone's wall clock at `instant`, as an instant that reads like it.
  [[nodiscard]] Utc wall_clock(Utc instant) const { return instant + at(instant).ahead; }

 private:
  struct Change {
    Utc from;
    std::size_t offset = 0;  // which of `offsets_`
  };

  std::vector<Change> changes_;      // in order of time
  std::vector<ZoneOffset> offsets_;  // at least one: the first is in force before all changes
};

}  // namespace noonfall
