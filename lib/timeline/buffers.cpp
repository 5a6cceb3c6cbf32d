// The body's buffer as the frames planned fill it, from step to step.
#include <algorithm>

#include <fmt/format.h>

#include "lib/body/model.h"
#include "lib/timeline/exposures.h"
#include "lib/timeline/relative_text.h"
#include "lib/timeline/rules.h"

namespace noonfall::timeline {
namespace {

constexpr Duration least_idle_time = std::chrono::seconds{1};  // worth a word
constexpr int least_frames_starved = 2;

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
    if (step.drive == body::Drive::continuous)
      warn_of_a_slow_burst(step, from);
    else if (step.leave_free_frames == 0)
      warn_of_stalls(step, from);
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

  /// When a burst from `filling` on has to wait for the card, with the number of that frame.
  struct Full {
    int frame;
    Utc at;
  };
  [[nodiscard]] std::optional<Full> burst_fills(const RigStep& step, Utc from, body::Buffer filling) const {
    int frame = 0;
    for (auto at = from; at <= step.until; at += interval_of(step)) {
      ++frame;
      if (!filling.room_for(1, size_, at)) return Full{frame, at};
      filling.add(at, size_);
    }
    return {};
  }

  [[nodiscard]] Duration interval_of(const RigStep& step) const {
    return body::frame_interval(planned_.profile, step.drive, step.shapes.front().exposures.front().shutter);
  }

  /// From the frame on that has to wait, a burst goes at the card's pace.
  void warn_of_a_slow_burst(const RigStep& step, Utc from) {
    const auto full = burst_fills(step, from, buffer_);
    const double pace = planned_.profile.write_rate.value / size_.value;
    if (!full || step.until - full->at < least_idle_time || pace * in_seconds(interval_of(step)) >= 1) return;
    const auto contact = contact_after(full->at, step);
    const auto slows = fmt::format(
        "the buffer of {} is full at frame {}; from {} on{} {:.1f} frames/s instead of {:.0f}", planned_.name,
        full->frame, text(full->at), contact ? fmt::format(", before {},", contacts::to_text(*contact)) : "",
        pace, 1 / in_seconds(interval_of(step)));
    const body::Buffer empty{planned_.profile};
    const auto alone = burst_fills(step, from, empty);
    if (previous_ != nullptr && (!alone || alone->frame > full->frame + least_frames_starved)) {
      const auto wanted = (step.until - from) / interval_of(step);
      const auto room = empty.free_frames(from, size_);
      findings_.push_back(warning_at(
          previous_->mark, "starves-next",
          fmt::format("\"{}\" leaves room for {} of {} frames to \"{}\" (line {}): {}", previous_->name,
                      buffer_.free_frames(from, size_), room, step.name, step.mark.line, slows),
          fmt::format("leave_free: {} frames", std::min<std::int64_t>(wanted, room))));
      return;
    }
    findings_.push_back(
        warning_at(step.mark, "burst-slows", fmt::format("\"{}\": {}", step.name, slows),
                   contact ? fmt::format("from: {}", text(latest_start(step, *contact, full->at - from)))
                           : fmt::format("a burst of at most {}, about the instant it is for",
                                         rounded_text(full->at - from))));
  }

  /// C2 or C3, where the burst is still to come to it.
  [[nodiscard]] std::optional<contacts::ContactName> contact_after(Utc at, const RigStep& step) const {
    for (const auto name : {contacts::ContactName::c2, contacts::ContactName::c3}) {
      const auto& contact = sky_.at(name);
      if (contact && at < contact->utc && contact->utc <= step.until) return name;
    }
    return {};
  }

  /// With which the burst is at its full speed until the contact is surely over.
  [[nodiscard]] Utc latest_start(const RigStep& step, contacts::ContactName name, Duration full_speed) const {
    const auto& contact = *sky_.at(name);
    return std::min(contact.utc + contact.uncertainty, step.until) - full_speed;
  }

  /// Frame by frame, as long as the card keeps up and after.
  void warn_of_stalls(const RigStep& step, Utc from) {
    auto filling = buffer_;
    int frame = 0;
    std::optional<Full> first;
    Duration waited{};
    auto set = from;
    for (std::size_t n = 0; set < step.until; n = (n + 1) % step.shapes.size()) {
      const auto& shape = step.shapes[n];
      for (const auto offset : shape.offsets) {
        const auto due = set + offset + waited;
        if (due >= step.until) break;
        ++frame;
        const auto opens = filling.room_for(1, size_, due) ? due : std::max(due, filling.room_at(size_));
        if (opens > due && !first) first = Full{frame, due};
        waited += std::min(opens, step.until) - due;
        if (opens >= step.until) break;
        filling.add(opens, size_);
      }
      set += shape.cycle;
      if (set + waited >= step.until) break;
    }
    if (!first || waited < least_idle_time) return;
    findings_.push_back(warning_at(
        step.mark, "buffer-stalls",
        fmt::format(
            "\"{}\": the buffer of {} is full at frame {}, at {}; the frames after it wait {} for the "
            "card in all",
            step.name, planned_.name, first->frame, text(first->at), rounded_text(waited)),
        "fewer frames, smaller files or a faster card"));
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

  [[nodiscard]] std::string text(Utc at) const { return relative_text(at, sky_); }

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

}  // namespace

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

}  // namespace noonfall::timeline
