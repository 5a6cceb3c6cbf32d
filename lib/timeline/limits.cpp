// What the body can hold and do: its buffer, card and battery against the frames planned, its lag against
// their instants.
#include <algorithm>

#include <fmt/format.h>

#include "lib/body/model.h"
#include "lib/time/duration_text.h"
#include "lib/timeline/exposures.h"
#include "lib/timeline/relative_text.h"
#include "lib/timeline/rules.h"

namespace noonfall::timeline {
namespace {

constexpr double usable_share_of_card = 0.95;
constexpr Duration least_idle_time = std::chrono::seconds{1};  // worth a word

/// The buffer of one body as its steps fill it, one after the other.
class BufferWalk {
 public:
  BufferWalk(const RigTimeline& planned, const contacts::Circumstances& sky, Diagnostics& findings)
      : findings_{findings},
        planned_{planned},
        sky_{sky},
        size_{body::frame_size(planned.profile, planned.files)},
        buffer_{planned.profile} {}

  [[nodiscard]] std::optional<Diagnostic> take(RigStep& step) {
    return step.back_to_back ? take_back_to_back(step) : take_targets(step);
  }

 private:
  [[nodiscard]] Utc ready_for(const RigStep& step) const {
    if (previous_ == nullptr) return step.from;
    return std::max(step.from, previous_->last_closing() + change_over(planned_, *previous_, step));
  }

  std::optional<Diagnostic> take_back_to_back(RigStep& step) {
    const auto from = ready_for(step);
    const auto fit = fit_sets(planned_, step, from, buffer_);
    step.predicted_sets = fit.sets;
    if (fit.sets > 0) warn_of_an_early_end(step, from, fit);
    if (step.drive == body::Drive::continuous) warn_of_a_full_buffer(step, from);
    for (int frame = 1; frame <= fit.frames; ++frame)
      buffer_.add(from + fit.last_open * frame / fit.frames, size_);
    previous_ = &step;
    if (fit.sets > 0) return {};
    return error_at(
        step.mark, "no-set-fits",
        fmt::format("\"{}\": no whole set fits on {}, with room for {} frames in the buffer to be left at "
                    "the end",
                    step.name, planned_.name, step.leave_free_frames),
        "a longer span, fewer frames a set, or a smaller leave_free");
  }

  /// Only leave_free ends a step before its time. Worth a word when another set would have had time.
  void warn_of_an_early_end(const RigStep& step, Utc from, const body::Fit& fit) {
    const auto last = from + fit.last_open;
    const auto usual_rest =
        2 * std::ranges::max_element(step.shapes, {}, &SetShape::cycle)->cycle + least_idle_time;
    if (step.leave_free_frames == 0 || step.until - last <= usual_rest) return;
    findings_.push_back(warning_at(
        step.mark, "ends-early",
        fmt::format(
            "\"{}\": after about {} frames, at {}, {} stops: more would leave less than {} frames free in "
            "the buffer at {}",
            step.name, fit.frames, relative_text(last, sky_), planned_.name, step.leave_free_frames,
            relative_text(step.until, sky_)),
        "a shorter span, or a smaller leave_free"));
  }

  /// From the frame on that has to wait for the card, a burst goes at the card's pace.
  void warn_of_a_full_buffer(const RigStep& step, Utc from) {
    const auto& exposure = step.shapes.front().exposures.front();
    const auto interval = body::frame_interval(planned_.profile, step.drive, exposure.shutter);
    auto filling = buffer_;
    int frame = 0;
    for (auto at = from; at <= step.until; at += interval) {
      ++frame;
      if (filling.room_for(1, size_, at)) {
        filling.add(at, size_);
        continue;
      }
      const double pace = planned_.profile.write_rate.value / size_.value;
      if (step.until - at < least_idle_time || pace * in_seconds(interval) >= 1) return;
      findings_.push_back(warning_at(
          step.mark, "burst-slows",
          fmt::format(
              "\"{}\": the buffer of {} is full at frame {}; from {} on {:.1f} frames/s instead of {:.0f}",
              step.name, planned_.name, frame, relative_text(at, sky_), pace, 1 / in_seconds(interval)),
          fmt::format("a burst of at most {}, about the instant it is for", rounded_text(at - from))));
      return;
    }
  }

  std::optional<Diagnostic> take_targets(RigStep& step) {
    Duration longest_wait{};
    Utc when{};
    for (const auto& target : step.targets) {
      for (const auto offset : step.shapes[target.shape].offsets) {
        const auto due = target.due + offset;
        const auto opens = buffer_.room_for(1, size_, due) ? due : std::max(due, buffer_.room_at(size_));
        if (opens - due > longest_wait) {
          longest_wait = opens - due;
          when = due;
        }
        buffer_.add(opens == Utc::max() ? due : opens, size_);
      }
    }
    previous_ = &step;
    if (longest_wait <= step.patience) return {};
    return error_at(step.mark, "buffer-full",
                    fmt::format("\"{}\": the buffer of {} is full at {}, and a frame would wait {} for it",
                                step.name, planned_.name, relative_text(when, sky_), wait_text(longest_wait)),
                    "fewer frames, longer pauses before, or smaller files");
  }

  [[nodiscard]] static std::string wait_text(Duration wait) {
    return wait > std::chrono::hours{1} ? std::string{"for ever"} : rounded_text(wait);
  }
  Diagnostics& findings_;
  const RigTimeline& planned_;
  const contacts::Circumstances& sky_;
  Megabytes size_;
  body::Buffer buffer_;
  const RigStep* previous_ = nullptr;
};

/// In whole milliseconds, upwards: enough is enough then.
std::string at_least(Duration span) {
  return noonfall::to_text(Duration{std::chrono::ceil<std::chrono::milliseconds>(span)});
}

std::optional<Diagnostic> too_little_room(const Given& given, const RigTimeline& rig, const RigStep& step) {
  const auto lag = body::trusted_lag(rig.profile.release);
  const auto needed = lag.most - lag.least;
  if (step.back_to_back || step.targets.empty()) return {};
  if (step.patience < needed) {
    return error_at(
        step.mark, "patience-too-short",
        fmt::format("\"{}\": a shutter of {} may open {} after its instant, and its patience is {}",
                    step.name, rig.name, at_least(needed), noonfall::to_text(step.patience)),
        fmt::format("a patience of {} or more", at_least(needed)));
  }
  const auto left = step.until - step.last_closing();
  if (left >= needed) return {};
  return error_at(step.mark, "no-room-for-lag",
                  fmt::format("\"{}\": a shutter of {} may open {} after its instant, and then its last one "
                              "wouldn't be closed by {}",
                              step.name, rig.name, at_least(needed), relative_text(step.until, given.sky)),
                  fmt::format("instants {} or more earlier, or a shorter exposure", at_least(needed - left)));
}

}  // namespace

Objections check_release_room(const Given& given, const Timeline& timeline) {
  return object_to_steps(timeline, [&](std::size_t r, const RigStep& step) {
    const auto& rig = timeline.rigs[r];
    return rig.by_hand ? std::nullopt : too_little_room(given, rig, step);
  });
}

Objections fill_buffers(const Given& given, Timeline& timeline, Diagnostics& findings) {
  Objections objections;
  for (std::size_t l = 0; l < timeline.rigs.size(); ++l) {
    auto& planned = timeline.rigs[l];
    if (planned.by_hand) continue;
    BufferWalk walk{planned, given.sky, findings};
    for (std::size_t s = 0; s < planned.steps.size(); ++s)
      if (auto why = walk.take(planned.steps[s])) objections.push_back({l, s, std::move(*why)});
  }
  return objections;
}

void check_totals(const Given& given, const Timeline& timeline, Diagnostics& findings) {
  for (std::size_t l = 0; l < timeline.rigs.size(); ++l) {
    const auto& planned = timeline.rigs[l];
    if (planned.by_hand) continue;
    const auto mark = given.plan.rigs[l].mark;
    const int frames = planned.predicted_frames();
    const double files_mb = frames * body::frame_size(planned.profile, planned.files).value;
    const double room_mb = planned.profile.card.value * usable_share_of_card;
    if (files_mb > room_mb) {
      findings.push_back(
          error_at(mark, "card-too-small",
                   fmt::format("{} frames of {} are about {:.0f} MB, and 95 % of its card are {:.0f} MB",
                               frames, planned.name, files_mb, room_mb),
                   "fewer frames, smaller files, or a larger card in the body profile"));
    }
    if (planned.profile.battery_frames > 0 && frames > planned.profile.battery_frames) {
      findings.push_back(warning_at(mark, "battery-too-small",
                                    fmt::format("{} frames of {} are more than the {} of a full battery",
                                                frames, planned.name, planned.profile.battery_frames),
                                    "mains power, or a change of battery in a hands-on span"));
    }
  }
}

}  // namespace noonfall::timeline
