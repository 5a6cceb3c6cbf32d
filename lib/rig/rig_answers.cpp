// What a body's answers do to a rig.
#include <algorithm>

#include <fmt/format.h>

#include "lib/rig/rig.h"

namespace noonfall::rig {
namespace {

using namespace std::chrono_literals;
using order::Outcome;

constexpr Duration first_retry = 2ms;
constexpr Duration longest_retry = 10ms;
constexpr Duration reopen_pause = 1s;
constexpr Duration first_pause = 10ms;
constexpr Duration longest_pause = 250ms;
// No buffer or long exposure that a plan counts on keeps a body from its next frame for so long (common
// practice, no source).
constexpr Duration told_when_busy_for = 10s;

Duration retry_pause(int busy_answers) {
  return std::min(first_retry * (1 << std::min(busy_answers, 3)), longest_retry);
}

}  // namespace

void Rig::settings_answered(const DeviceAnswer& answer, const SettingsCall& call) {
  auto& held = orders_.front();
  if (answer.answer == Answer::busy) return try_again_later(answer);
  if (answer.answer == Answer::gone) return body_gone(answer.at, answer.why);
  held.settled = true;
  held.busy_answers = 0;
  settings_ = answer.exposure;
  drive_ = answer.drive;
  bracket_ = call.bracket;
  if (call.drive == body::Drive::bracket && answer.answer != Answer::no_word && answer.drive != call.drive) {
    held.one_by_one = true;
    held.settled = false;
    return;
  }
  if (answer.answer == Answer::no_word) {
    settings_.reset();
    drain_first_ = true;
  }
  if (!settings_) drive_.reset();
  // A wrong exposure beats no picture: the frame is shot with what the body has, if it closes in time.
  if (answer.answer != Answer::ok) {
    held.wrong = fmt::format("wrong exposure: {}", answer.why);
  } else if (answer.exposure != call.exposure || answer.drive != call.drive) {
    held.wrong = fmt::format("wrong exposure: {} was asked for", exposure::to_text(call.exposure));
  }
}

void Rig::release_answered(const DeviceAnswer& answer, const ReleaseCall& call) {
  auto& held = orders_.front();
  switch (answer.answer) {
    case Answer::ok:
      if (answer.frames.empty()) return try_again_later(answer);
      return frames_taken(answer);
    case Answer::busy:
      return try_again_later(answer);
    case Answer::refused:
      pause_after(answer.at);
      if (call.frames.size() > 1 && held.order.drive == body::Drive::bracket)
        return close_rest(answer.at, held, Outcome::failed, answer.why);
      return close_frame(answer.at, held, Outcome::failed, answer.why, answer.released);
    case Answer::no_word:
    case Answer::gone:
      for (std::size_t n = 0; n < call.frames.size(); ++n)
        close_frame(answer.at, held, Outcome::unknown, answer.why, answer.released);
      if (answer.answer == Answer::gone) return body_gone(answer.at, answer.why);
      drain_first_ = true;
      pause_after(answer.at);
  }
}

/// The next frame may fare better and is tried at once; where more come to nothing, not as fast as they can.
void Rig::pause_after(Utc at) {
  if (fruitless_++ > 0)
    not_before_ = at + std::min(first_pause * (1 << std::min(fruitless_, 10)), longest_pause);
}

void Rig::frames_taken(const DeviceAnswer& answer) {
  auto& held = orders_.front();
  lag_.saw(answer.frames.front().opened - answer.released);
  held.busy_answers = 0;
  fruitless_ = 0;
  const auto why = held.one_by_one && held.wrong.empty()
                       ? "not in the bracket of the body's own that the plan wants"
                       : held.wrong;
  for (const auto& taken : answer.frames) {
    auto done = frame_done(held, taken.confirmed ? Outcome::fired : Outcome::unknown, answer.at,
                           taken.confirmed ? why : std::string{"no picture was announced"});
    done.released = answer.released;
    done.opened = taken.opened;
    done.closed = taken.closed;
    done.files = taken.files;
    output_.reports.emplace_back(std::move(done));
    ++held.next;
  }
  if (held.order.drive == body::Drive::bracket && !held.one_by_one)
    close_rest(answer.at, held, Outcome::failed, "the body's bracket ended before this frame");
  if (held.order.drive == body::Drive::single || held.one_by_one) {
    held.settled = false;
    held.wrong.clear();
  }
}

void Rig::reopen_answered(const DeviceAnswer& answer) {
  if (answer.answer != Answer::ok) {
    not_before_ = answer.at + reopen_pause;
    return;
  }
  ready_ = true;
  recover_.reset();
  settings_.reset();
  drive_.reset();
  output_.reports.emplace_back(
      order::RigState{.rig = index_, .ready = true, .at = answer.at, .why = {}, .spare = answer.spare});
}

void Rig::body_gone(Utc at, const std::string& why) {
  ready_ = false;
  settings_.reset();
  drive_.reset();
  not_before_ = at;
  for (auto& held : orders_) {
    held.settled = false;
    held.wrong.clear();
  }
  output_.reports.emplace_back(order::RigState{index_, false, at, why});
}

void Rig::try_again_later(const DeviceAnswer& answer) {
  auto& held = orders_.front();
  held.busy_why = answer.why;
  if (held.busy_answers == 0) {
    held.busy_since = answer.at;
    held.busy_told = false;
  }
  if (!held.busy_told && answer.at - held.busy_since >= told_when_busy_for) {
    held.busy_told = true;
    output_.reports.emplace_back(
        order::RigState{index_, ready_, answer.at,
                        fmt::format("busy for {:.0f} s, nothing is taken meanwhile: {}; look at the body",
                                    in_seconds(told_when_busy_for), answer.why)});
  }
  not_before_ = answer.at + retry_pause(held.busy_answers++);
}

}  // namespace noonfall::rig
