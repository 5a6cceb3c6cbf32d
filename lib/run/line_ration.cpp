#include "lib/run/line_ration.h"

#include <utility>

namespace noonfall::run {

bool LineRation::admit(Utc now) {
  if (!begun_ || now >= *begun_ + span_) {
    begun_ = now;
    admitted_ = 0;
  }
  if (admitted_ < most_) {
    ++admitted_;
    return true;
  }
  ++left_out_;
  return false;
}

std::int64_t LineRation::take_left_out(Utc now) {
  const auto when = due();
  return when && now >= *when ? std::exchange(left_out_, 0) : 0;
}

std::optional<Utc> LineRation::due() const {
  if (left_out_ == 0) return std::nullopt;
  return *begun_ + span_;
}

}  // namespace noonfall::run
