// A rig stepped by hand at chosen instants; what it gives is compared as text.
#pragma once

#include <string>
#include <vector>

#include "lib/rig/rig.h"

namespace noonfall::rig {

using namespace std::chrono_literals;

/// Instants of these tests are spans from a zero of their own.
[[nodiscard]] Utc at(Duration since_zero);

/// Shutters up to 32 s; 100 ms to set a shutter, 200 ms an aperture, 300 ms an ISO, 400 ms a drive; the
/// release lag is such that a fresh Lag lies within 28 ms … 104 ms.
[[nodiscard]] body::Profile round_profile();

/// f/8, ISO 400.
[[nodiscard]] exposure::Exposure with(exposure::Shutter shutter);
inline const exposure::Exposure quick = with({1, 500});
inline const exposure::Exposure slow = with({1, 2});

/// Frames of set `id`, the first due at `due`, the others a second apart; each may be two seconds late.
[[nodiscard]] order::Order order_of(std::int64_t id, Duration due,
                                    const std::vector<exposure::Exposure>& exposures);

[[nodiscard]] DeviceAnswer set_to(Duration now, const exposure::Exposure& exposure,
                                  body::Drive drive = body::Drive::single);
/// Frames that opened at these instants and closed 2 ms later.
[[nodiscard]] DeviceAnswer took(Duration now, Duration released, const std::vector<Duration>& opened);
[[nodiscard]] DeviceAnswer said(Duration now, Answer answer, const std::string& why = {});

class Bench {
 public:
  Bench() : rig_{0, round_profile()} {}

  /// Everything one step gives, parts separated by " | "; instants in milliseconds. A further step must give
  /// no call and no report.
  std::string step(Duration now, const std::vector<Input>& inputs = {});
  [[nodiscard]] const Rig& rig() const { return rig_; }

 private:
  Rig rig_;
};

/// A bench whose rig has sent `quick` for the only frame of order 1, due at 10 s, and waits to release it.
[[nodiscard]] Bench waiting_for_release();
/// The same after the release call at 9.972 s, its answer outstanding.
[[nodiscard]] Bench releasing();

}  // namespace noonfall::rig
