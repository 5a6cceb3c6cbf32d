// Frames of a fixed mount in which the Sun, or the inner corona, is outside.
#include <algorithm>

#include <fmt/format.h>

#include "lib/timeline/aiming.h"
#include "lib/timeline/relative_text.h"
#include "lib/timeline/timeline.h"

namespace noonfall::timeline {
namespace {

using namespace std::chrono_literals;

constexpr double inner_corona = 0.5;  // radii above the limb
constexpr Duration clear_of_frames = 10s;
constexpr Duration least_visit = 20s;

double wanted_room(const RigStep& step) {
  const bool corona = step.subject.kind == exposure::SubjectKind::corona;
  return 1 + (corona ? std::min(step.subject.high_radii, inner_corona) : 0);
}

class StepInFrame {
 public:
  StepInFrame(const Given& given, const View& view, const RigTimeline& planned, const RigStep& step)
      : given_{given}, planned_{planned}, step_{step}, view_{view}, wanted_{wanted_room(step)} {}

  [[nodiscard]] Diagnostic finding() const {
    const bool sun = step_.passage->room < 1;
    const auto gone = first_gone();
    const auto& aiming = in_force(planned_.framing->aimings, gone);
    const auto inside = stays_in_frame(view_, given_.sky, aiming.centred, wanted_);
    return warning_at(
        step_.mark, sun ? "sun-leaves-frame" : "corona-leaves-frame",
        fmt::format("\"{}\": at {} part of {} is outside the frame of {}; {}", step_.name, text(gone),
                    sun ? "the Sun" : "the inner corona", planned_.name,
                    inside ? fmt::format("aimed for {} it is inside from {} to {}", text(aiming.centred),
                                         text(inside->from), text(inside->until))
                           : "the frame is too small for it"),
        hint(gone));
  }

 private:
  [[nodiscard]] std::string text(Utc at) const { return relative_text(at, given_.sky); }

  [[nodiscard]] bool lacks_it(Utc at) const {
    const auto& aiming = in_force(planned_.framing->aimings, at);
    const auto place = place_in_frame(view_, aiming.pointing, *contacts::sun_at(given_.sky, at));
    return room_in_frame(view_, place) < wanted_;
  }

  /// The first frame that lacks it; back to back, the instant it goes.
  [[nodiscard]] Utc first_gone() const {
    for (const auto& target : step_.targets)
      if (lacks_it(target.due) || lacks_it(target.due + step_.shapes[target.shape].lasts)) return target.due;
    auto at = step_.from;
    while (at < step_.until && !lacks_it(at)) at += 1s;
    return at;
  }

  /// Spans to paste, between the sets of a step that leaves room for them.
  [[nodiscard]] std::string hint(Utc gone) const {
    const auto stays = stays_in_frame(view_, given_.sky, gone, wanted_);
    if (!stays) return "a shorter focal length";
    if (step_.targets.size() < 2)
      return "a hands-on span just before, with its `aim` in the middle of the frames that follow";
    const auto& first = step_.targets.front();
    const auto period = step_.targets[1].due - first.due;
    const auto pause = period - step_.shapes[first.shape].lasts - 2 * clear_of_frames;
    if (pause < least_visit) return "frames within that time only, or hands-on spans between them";
    const auto sets = std::max<std::int64_t>(1, (stays->until - stays->from) * 9 / 10 / period);
    return fmt::format("- {{name: follow the Sun, hands: {}, from: {}, until: {}, every: {}, lasts: {}}}",
                       planned_.name,
                       relative_text(first.due + step_.shapes[first.shape].lasts + clear_of_frames,
                                     given_.sky, Rounding::later),
                       text(step_.last_closing()), rounded_text(period * sets),
                       rounded_text(std::min<Duration>(pause, std::chrono::minutes{2})));
  }

  const Given& given_;
  const RigTimeline& planned_;
  const RigStep& step_;
  View view_;
  double wanted_;
};

}  // namespace

void doubt_framing(const Given& given, const Timeline& timeline, Diagnostics& warnings) {
  for (std::size_t r = 0; r < timeline.rigs.size(); ++r) {
    const auto& planned = timeline.rigs[r];
    for (const auto& step : planned.steps)
      if (step.passage && step.passage->room < wanted_room(step))
        warnings.push_back(StepInFrame{given, *view_of(given.plan.rigs[r]), planned, step}.finding());
  }
}

}  // namespace noonfall::timeline
