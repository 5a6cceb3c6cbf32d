#include "sim/wire/dialect.h"

#include "sim/wire/ptp_codes.h"

namespace noonfall::wire {

Reply plain(std::uint16_t response, Utc now) {
  return {response, {}, {}, now + transaction_time};
}

Reply with_data(Bytes data, Utc now) {
  return {response::ok, {}, std::move(data), now + transaction_time};
}

Reply reply_to(const CameraAnswer& answer, Utc now) {
  switch (answer.answer) {
    case rig::Answer::ok:
      return plain(response::ok, now);
    case rig::Answer::busy:
      return plain(response::device_busy, now);
    case rig::Answer::refused:
      return plain(answer.why == "card full" ? response::store_full : response::access_denied, now);
    case rig::Answer::gone:
    case rig::Answer::no_word:
      break;
  }
  return {response::ok, {}, {}, Utc::max()};
}

}  // namespace noonfall::wire
