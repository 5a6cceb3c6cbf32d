#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "daemon/gphoto/cabled_camera.h"
#include "daemon/gphoto/open_shutter.h"
#include "lib/body/model.h"

namespace noonfall::gphoto {
namespace {

using namespace std::chrono_literals;
using body::Drive;
using rig::Answer;
using rig::DeviceAnswer;

constexpr int news_wait_ms = 5;
// How long after the shutter a picture that the card takes at once may be announced. A card that is behind
// announces later: that isn't waited for.
constexpr Duration soon_written = 250ms;
constexpr int most_bad_news = 10;  // of pictures that can't be asked about: good ones may follow
constexpr Duration announcement_margin = 400ms;
constexpr Duration soon = 2s;  // sooner the next frame needs the body
constexpr Duration least_patience = 2s;
constexpr Duration most_patience = 15s;
constexpr Duration word_within = 2s;      // as the driver's own trigger waits
constexpr Duration looked_at_after = 3s;  // the room on the card, after the first picture should be there
constexpr Duration for_settings = 40ms;   // beside what the body itself takes for them
constexpr int missed_in_a_row = 3;        // and the way to take frames is doubted

}  // namespace

DeviceAnswer CabledCamera::release(const rig::ReleaseCall& call) {
  if (auto why = why_refused(call); !why.empty()) {
    auto answer = said(Answer::refused, std::move(why));
    answer.released = answer.at;
    return answer;
  }
  if (!setup_.profile) return release_unmeasured(call);
  return body_->settings.is_at_bulb() ? release_bulb(call) : release_measured(call);
}

DeviceAnswer CabledCamera::release_measured(const rig::ReleaseCall& call) {
  auto& [session, family, settings] = *body_;
  be_patient(call.next < now() + soon ? std::clamp(2 * longest_answer_, least_patience, most_patience)
                                      : most_patience);
  auto burst = burst_of(call);
  if (auto early = until_ready(call); early) return std::move(*early);
  listen_for_frame();
  auto begun = family->ready(*session, burst.frames.size());
  burst.released = now();
  if (begun) begun = family->begin(*session);
  if (begun) begun = wait_for_word();
  const auto took = now() - burst.released;
  longest_answer_ = std::max(longest_answer_, took);
  if (begun && took > Duration{} && family->is_silent()) {
    quickest_release_ = std::min(quickest_release_, took);
    burst.held_up = took - quickest_release_;
  }
  burst.first_opening = burst.released + setup_.profile->release.typical;
  burst.free = burst.last_closing() + setup_.profile->readout;
  if (!begun) return not_begun(burst, begun.error());
  if (!family->is_silent()) take_note_of(burst);
  // The button stays down for half an interval past the last opening, so that one frame more or less would
  // need a body that far off its profile.
  if (!bracket_.empty()) {
    const auto longer = (burst.last_opening() - burst.released) / 4;  // it ends by itself
    hold(std::max(burst.free, burst.last_opening() + longer), burst.frames.size());
  } else if (settings.drive() == Drive::continuous && family->bursts() == Bursts::held) {
    hold(burst.last_opening() + burst.interval / 2, burst.frames.size());
  }
  const auto let_go = family->end(*session);
  if (!let_go) alarms_.push_back(fmt::format("the shutter button may be down: {}", words_of(let_go.error())));
  if (is_ignored(burst)) return ignored(burst);
  if (family->is_silent()) take_note_of(burst);
  if (!family->is_silent()) readiness_.took(burst.released);
  readiness_.expect(burst.last_opening() - setup_.profile->release.typical,
                    burst.last_closing() - burst.last_opening(), burst.interval, burst.held_up);
  wait_for_frames(burst, call.next);
  return taken(burst, call.next);
}

DeviceAnswer CabledCamera::not_begun(const Burst& burst, const DriverError& error) {
  auto answer = failed(error);
  // With an electronic shutter some bodies take the picture and the driver fails all the same, with no code
  // of the body's own (libgphoto2 issue 426).
  if (answer.answer == Answer::refused && !ptp_code(error.text)) {
    answer.answer = Answer::no_word;
    answer.why = "perhaps taken: " + answer.why;
  }
  if (answer.answer == Answer::no_word) take_note_of(burst);
  // What a body is busy with may be told by its news, or be the copies in its memory.
  if (answer.answer == Answer::busy) readiness_.was_busy();
  if (answer.answer == Answer::busy && read_news(Duration{}, 0)) take_copies(Utc::max());
  answer.released = burst.released;
  answer.at = now();
  return answer;
}

/// The body takes no frame sooner after the one before; meanwhile its news is read. Answers for it where it
/// would be too late then.
std::optional<DeviceAnswer> CabledCamera::until_ready(const rig::ReleaseCall& call) {
  const auto ready = readiness_.asks_from();
  if (ready <= now()) return std::nullopt;
  if (ready > call.stop_by - body::most_release_lag(*setup_.profile)) {
    auto answer = said(Answer::busy, "the body isn't ready yet");
    answer.released = answer.at;
    return answer;
  }
  read_until(ready);
  return std::nullopt;
}

/// What the button came to, where a body says it.
Tried<void> CabledCamera::wait_for_word() {
  auto& [session, family, settings] = *body_;
  const auto give_up = now() + word_within;
  while (!family->word() && now() < give_up) {
    if (auto read = read_news(Duration{}, news_wait_ms); !read) break;
  }
  auto word =
      family->word().value_or(tl::unexpected{DriverError{result::timed_out, "no word of the button"}});
  if (!word) (void)family->end(*session);
  return word;
}

CabledCamera::Burst CabledCamera::burst_of(const rig::ReleaseCall& call) {
  Burst burst;
  burst.frames.assign(call.frames.begin(), call.frames.begin() + static_cast<std::ptrdiff_t>(fitting(call)));
  burst.interval = body::frame_interval(*setup_.profile, present().drive, present().exposure.shutter);
  burst.open = body::open_time(present().exposure.shutter);
  if (!bracket_.empty()) time_bracket(burst);
  return burst;
}

/// Timed from when the body has taken the release, so that what it does before shortens no exposure. However
/// late that was, the shutter closes when it would have if it had opened at its last instant. The body is
/// left in peace meanwhile: a question that it answers late would hold up the end.
DeviceAnswer CabledCamera::release_bulb(const rig::ReleaseCall& call) {
  auto burst = burst_of(call);
  const auto closes_by = call.stop_by + burst.open;
  OpenShutter shutter{*body_->family, *body_->session, *time_};
  const auto begun = shutter.open();
  burst.released = now();
  burst.first_opening = burst.released + setup_.profile->release.typical;
  if (begun) time_->wait_until(std::min(burst.first_opening + burst.open, closes_by));
  auto closing = now();
  const auto closed = shutter.close();
  if (shutter.tries() > 1) closing = now();
  burst.open = std::max(Duration{}, closing - burst.first_opening);
  burst.free = closing + setup_.profile->readout;
  if (begun || body_->family->answer_of(begun.error()) == Answer::no_word) take_note_of(burst);
  DeviceAnswer answer;
  if (!closed) {
    answer = went(fmt::format("the shutter may be open: {}", words_of(closed.error())));
  } else if (!begun) {
    answer = failed(begun.error());
  } else {
    note_time(burst);
    if (!time_->stopping()) wait_for_frames(burst, call.next);
    answer = taken(burst, call.next);
  }
  answer.released = burst.released;
  return answer;
}

void CabledCamera::note_time(const Burst& burst) {
  const auto wanted = body::open_time(present().exposure.shutter);
  if (burst.open >= wanted * 9 / 10 && burst.open <= wanted * 11 / 10) return;
  notes_.push_back(fmt::format("the shutter was open at bulb for {:.1f} s, not {:.1f} s",
                               in_seconds(burst.open), in_seconds(wanted)));
}

std::string CabledCamera::why_refused(const rig::ReleaseCall& call) const {
  if (call.frames.empty()) return "no frame was asked for";
  if (body_->settings.is_at_bulb() && !(setup_.profile && body_->family->has_bulb()))
    return "the shutter is at bulb, and nothing would close it";
  if (present().drive == Drive::single && call.frames.size() > 1) {
    return fmt::format("single drive takes one frame a release, {} were asked for", call.frames.size());
  }
  if (!bracket_.empty() && call.frames.size() != bracket_.size())
    return fmt::format("a bracket of {} frames was set, {} were asked for", bracket_.size(),
                       call.frames.size());
  return {};
}

/// A burst that is told its length can't be stopped: it is as long as it may last.
std::size_t CabledCamera::fitting(const rig::ReleaseCall& call) {
  if (call.frames.size() == 1 || body_->settings.is_at_bulb()) return 1;
  if (!bracket_.empty()) return call.frames.size();
  const auto interval = body::frame_interval(*setup_.profile, present().drive, present().exposure.shutter);
  const auto left = call.stop_by - now() - body::most_release_lag(*setup_.profile);
  const auto most = left < Duration{} || interval <= Duration{} ? 1 : 1 + left / interval;
  return std::min(call.frames.size(), static_cast<std::size_t>(most));
}

void CabledCamera::take_note_of(const Burst& burst) {
  for (std::size_t n = 0; n < burst.frames.size(); ++n) {
    buffer_->add(burst.closing(n), body::frame_size(*setup_.profile, setup_.files));
    const auto written = std::max(buffer_->room_at(setup_.profile->buffer), burst.free);
    if (!body_->family->is_silent())
      files_.released(burst.frames[n], burst.first_opening, written + announcement_margin);
    first_written_ = std::min(first_written_, written + looked_at_after);
  }
  quiet_since_ = std::max(quiet_since_, burst.free);
}

/// Until then, or until so many pictures have been announced.
void CabledCamera::hold(Utc until, std::size_t pictures) {
  while (now() < until && !time_->stopping() && unmeasured_.pictures.size() < pictures) {
    const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(until - now()).count();
    if (!read_news(0us, static_cast<int>(std::clamp<std::int64_t>(left, 0, news_wait_ms)))) return;
  }
}

bool CabledCamera::all_announced(const Burst& burst) const {
  return std::ranges::all_of(burst.frames, [&](const auto& id) { return files_.is_complete(id); });
}

void CabledCamera::read_until(Utc until) {
  if (body_->family->has_heavy_news()) return time_->wait_until(until);
  int failures_left = most_bad_news;
  while (now() < until && !time_->stopping()) {
    const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(until - now()).count();
    const auto read = read_news(0us, static_cast<int>(std::clamp<std::int64_t>(left, 0, news_wait_ms)));
    if (!read && (body_->family->answer_of(read.error()) != Answer::refused || --failures_left == 0)) return;
  }
}

/// Until the body should be free; where nothing else is due, a little longer for news that must be near.
void CabledCamera::wait_for_frames(const Burst& burst, Utc next) {
  const auto& profile = *setup_.profile;
  // Bodies may be faster than their profile: one that isn't answers the next call with "busy".
  const bool in_set = next <= burst.free;
  read_until(in_set ? burst.free - profile.readout * 3 / 10 : burst.free);
  if (in_set) {
    // It takes no release for a while: only what settings need of that is left to them.
    const auto settings = std::max(profile.setting_times.shutter + for_settings, settings_time_);
    const auto spare = readiness_.asks_from() - settings;
    while (!family_is_quiet() && now() < spare && !all_announced(burst)) {
      if (!read_news(0us, news_wait_ms)) break;
    }
    return;
  }
  const auto written = std::max(buffer_->room_at(profile.buffer), burst.free);
  if (written > burst.free + soon_written || body_->family->is_silent()) return;
  const auto give_up = std::min(written + announcement_margin, next);
  while (now() < give_up && !all_announced(burst)) {
    if (!read_news(0us, news_wait_ms)) break;
  }
  take_copies(next);
}

/// A frame whose picture isn't announced is doubted only if its time was over and nothing told is unread.
DeviceAnswer CabledCamera::taken(const Burst& burst, Utc next) {
  auto answer = said(Answer::ok, {});
  answer.released = burst.released;
  const bool waited = next > burst.free;
  // Behind a full buffer a picture is announced when its turn comes; that it is late says nothing.
  const bool behind = buffer_->room_at(setup_.profile->buffer) > now() || heard_to_ < burst.free;
  const int missed = files_.missed(up_to_date_ ? now() : heard_to_);
  const bool heard = !body_->family->is_silent() || hears_of_frame();
  for (std::size_t n = 0; n < burst.frames.size(); ++n) {
    rig::TakenFrame frame;
    frame.opened = burst.opening(n);
    frame.closed = burst.closing(n);
    frame.files = files_.files_of(burst.frames[n]);
    frame.confirmed = !frame.files.empty() || (body_->family->is_silent() && heard) ||
                      (!body_->family->is_silent() && missed < missed_in_a_row && (behind || !waited));
    answer.frames.push_back(std::move(frame));
  }
  if (missed >= missed_in_a_row) change_way();
  (void)files_.take_complete();
  return answer;
}

void CabledCamera::change_way() {
  if (way_changed_ || !body_->family->has_other_way()) return;
  way_changed_ = true;
  body_->family->change_way();
  dials_turned_ = true;  // there may be no bursts that way
  alarms_.push_back(
      fmt::format("of {} frames in a row no picture was announced: from now on they are taken by the "
                  "driver's own trigger",
                  missed_in_a_row));
}

}  // namespace noonfall::gphoto
