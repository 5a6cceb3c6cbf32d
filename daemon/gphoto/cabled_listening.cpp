// Bodies that announce no picture, and tell something or other of each frame they take all the same: a
// setting that has changed, room left. From that it is known whether a release came too early.
#include <algorithm>
#include <chrono>
#include <utility>

#include "daemon/gphoto/cabled_camera.h"

namespace noonfall::gphoto {
namespace {

using namespace std::chrono_literals;
using rig::Answer;
using rig::DeviceAnswer;

constexpr Duration old_news_most = 50ms;
constexpr Duration all_news_most = 300ms;
constexpr int news_wait_ms = 5;
constexpr int known_at = 4;             // a frame that is told of counts 2, one that isn't -1
constexpr int most_ignored = 3;         // in a row: then it isn't because they came too early
constexpr Duration told_within = 60ms;  // of the opening, at least

}  // namespace

/// What is told from now on is of the next frame, unless more of the last one may come.
void CabledCamera::listen_for_frame() {
  listens_ = false;
  if (!body_->family->is_silent()) return;
  // As early a release as none before has to be seen to be taken; others have no time for it.
  const auto written = buffer_->room_at(setup_.profile->buffer);
  const bool must = !readiness_.is_proven();
  if (must && murmurs_ && written <= now() + all_news_most) read_until(written);
  if (must && !read_news(murmurs_ ? all_news_most : old_news_most, 0)) return;
  listens_ = up_to_date_ && written <= heard_to_;
  murmurs_heard_ = 0;
}

/// The release came to nothing: the body tells of each frame as soon as its shutter opens, and hasn't.
bool CabledCamera::is_ignored(const Burst& burst) {
  if (!listens_ || !murmurs_) return false;
  const auto until = burst.first_opening + setup_.profile->release.jitter + burst.held_up +
                     std::max(told_within, murmur_delay_ * 2);
  while (murmurs_heard_ == 0 && now() < until) {
    if (!read_news(0us, news_wait_ms)) return false;
  }
  if (murmurs_heard_ == 0) return up_to_date_ && ++ignored_in_a_row_ < most_ignored;
  if (burst.frames.size() == 1)
    murmur_delay_ = std::clamp(now() - burst.first_opening - burst.held_up, murmur_delay_, 2 * told_within);
  ignored_in_a_row_ = 0;
  readiness_.took(burst.released + burst.held_up);
  return false;
}

DeviceAnswer CabledCamera::ignored(const Burst& burst) {
  readiness_.was_ignored();
  auto answer = said(Answer::busy, "the body told nothing of a frame: the release came too early");
  answer.released = burst.released;
  return answer;
}

/// Of a body that never tells anything, nothing can be known.
bool CabledCamera::hears_of_frame() {
  if (!listens_) return true;
  if (murmurs_heard_ > 0) {
    murmured_ += 2;
    if (murmured_ >= known_at && !std::exchange(murmurs_, true)) readiness_.is_told();
    return true;
  }
  murmured_ = std::max(0, murmured_ - 1);
  return !murmurs_;
}

}  // namespace noonfall::gphoto
