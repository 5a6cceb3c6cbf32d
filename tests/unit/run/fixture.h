// Timelines made by hand, and what a step of the run gives as text.
#pragma once

#include <string>
#include <vector>

#include "lib/run/run.h"

namespace noonfall::run {

using namespace std::chrono_literals;
using shotlog::Hold, shotlog::Resume, shotlog::Trim, shotlog::SkipStep, shotlog::SetFilter, shotlog::ClockOk,
    shotlog::Stop;

/// Instants of these tests are spans from a zero of their own.
[[nodiscard]] Utc at(Duration since_zero);

inline const exposure::Exposure quick{{1, 500}, exposure::FNumber{80}, {400}};

/// One rig "long" without a filter, on a body with round numbers: no time for settings, a lag of 60 ms ±
/// 20 ms, a frame every 500 ms.
[[nodiscard]] timeline::Timeline empty_timeline();

/// The same with a filter, which may be off from 100 s to 208 s and takes 8 s to handle; no step yet.
[[nodiscard]] timeline::Timeline timeline_with_window();

/// Single frames at these instants, each up to two seconds late, its settings sent a second ahead.
[[nodiscard]] timeline::RigStep targets(const std::string& name, const std::vector<Duration>& due);
/// Sets of two frames, 500 ms apart, a set a second.
[[nodiscard]] timeline::RigStep back_to_back(const std::string& name, Duration from, Duration until);

[[nodiscard]] timeline::Timeline timeline_of(std::vector<timeline::RigStep> steps);

[[nodiscard]] order::OrderStarted started(std::int64_t order, Duration now);
[[nodiscard]] order::FrameDone fired(std::int64_t order, order::FrameId id, Duration opened);
[[nodiscard]] order::OrderDone done(std::int64_t order, Duration now);

class Bench {
 public:
  explicit Bench(const timeline::Timeline& timeline, shotlog::Mode mode = shotlog::Mode::event);

  /// A later core that goes on from everything this one wrote.
  [[nodiscard]] Bench next(const timeline::Timeline& timeline) const;

  /// Everything one step gives but the header, parts separated by " | "; instants in milliseconds. A further
  /// step must give nothing.
  std::string step(Duration now, const std::vector<Input>& inputs = {});
  /// What is asked of the rigs only.
  std::string orders(Duration now, const std::vector<Input>& inputs = {});
  /// The lines written only.
  std::string lines(Duration now, const std::vector<Input>& inputs = {});

 private:
  Output advance(Duration now, const std::vector<Input>& inputs);
  shotlog::Mode mode_;
  Run run_;
  std::vector<shotlog::Line> lines_;
};

}  // namespace noonfall::run
