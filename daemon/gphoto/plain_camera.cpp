#include "daemon/gphoto/plain_camera.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "daemon/gphoto/frame_files.h"
#include "lib/base/match.h"
#include "lib/body/model.h"

namespace noonfall::gphoto {
namespace {

using namespace std::chrono_literals;
using rig::Answer;
using rig::DeviceAnswer;

constexpr Duration settles_within = 10s;
constexpr Duration news_within = 3s;
constexpr std::size_t most_told = 1000;
constexpr int news_wait_ms = 1;
constexpr int drain_wait_ms = 50;
constexpr Duration longest_hold = 12s;
constexpr Duration usual_interval = 100ms;  // of a burst (common practice, no source)
constexpr Duration quiet = 2s;              // no more pictures come
constexpr Duration longest_wait = 2min;

}  // namespace

PlainCamera::PlainCamera(Session& session, std::function<Utc()> clock)
    : session_{session},
      now_{std::move(clock)},
      dials_{Dials::read(session)},
      path_{release_path_of(session)},
      last_news_{now_()} {}

DeviceAnswer PlainCamera::answer(const rig::DeviceCall& call, Utc /*now*/) {
  return std::visit(Match{[&](const rig::SettingsCall& asked) { return set(asked); },
                          [&](const rig::ReleaseCall& asked) { return release(asked); },
                          [&](const rig::DrainCall&) { return drain(); },
                          [&](const rig::ReopenCall&) { return said(Answer::gone, "nothing reopens it"); }},
                    call);
}

DeviceAnswer PlainCamera::set(const rig::SettingsCall& call) {
  if (auto made = make(call); !made) return failed(made.error());
  auto answer = said(Answer::ok, {});
  answer.exposure = dials_.exposure(call.exposure);
  answer.drive = dials_.drive();
  present_ = {*answer.exposure, answer.drive};
  known_ = true;
  return answer;
}

Tried<void> PlainCamera::make(const rig::SettingsCall& call) {
  std::vector<Dials::Sent> sent;
  // Old news must not be taken for the news of these settings.
  if (path_->is_held()) {
    if (auto read = read_all_news(); !read) return read;
  }
  told_.clear();
  if (auto done = dials_.send(session_, call, sent); !done) return done;
  return settle(sent);
}

/// A body may take a setting long after it has said yes, and until then shows the old value. Where the driver
/// shows what it was told, only the body's own news says that it has come to pass. What it never takes is
/// read back as it is.
Tried<void> PlainCamera::settle(const std::vector<Dials::Sent>& sent) {
  const auto give_up = now_() + settles_within;
  for (const auto& each : sent) {
    const auto news_by = path_->is_held() ? now_() + news_within : now_();
    while (!is_told(each) && now_() < news_by) {
      if (auto read = read_news(news_wait_ms); !read) return read;
    }
    for (;;) {
      const auto shows = dials_.shows(session_, each);
      if (!shows) return tl::unexpected{shows.error()};
      if (*shows || now_() >= give_up) break;
      if (auto read = read_news(news_wait_ms); !read) return read;
    }
  }
  told_.clear();
  return {};
}

/// By the driver's words: PTP Property d101 changed, "aperture" to "8".
bool PlainCamera::is_told(const Dials::Sent& sent) const {
  const auto words = fmt::format("\"{}\" to \"{}\"", sent.name, sent.label);
  return std::ranges::any_of(told_, [&](const auto& text) { return text.find(words) != std::string::npos; });
}

DeviceAnswer PlainCamera::release(const rig::ReleaseCall& call) {
  if (call.frames.size() > 1) return release_many(call);
  // Drivers drop what is pending when they release.
  if (auto read = read_all_news(); !read) return failed(read.error());
  if (auto ready = path_->ready(session_, 1); !ready) return failed(ready.error());
  const auto released = now_();
  const auto begun = path_->begin(session_);
  if (!begun) return failed(begun.error());
  auto answer = said(Answer::ok, {});
  answer.released = released;
  if (const auto let_go = path_->end(session_); !let_go) return failed(let_go.error());
  answer.frames.push_back(
      {released, released + body::open_time(present_.exposure.shutter), true, std::exchange(new_files_, {})});
  return answer;
}

DeviceAnswer PlainCamera::release_many(const rig::ReleaseCall& call) {
  if (auto learnt = learn_iso_time(); !learnt) return failed(learnt.error());
  if (auto read = read_all_news(); !read) return failed(read.error());
  announced_.clear();
  pictures_.clear();
  const auto frames = call.frames.size();
  if (auto ready = path_->ready(session_, frames); !ready) return failed(ready.error());
  const auto released = now_();
  if (auto begun = path_->begin(session_); !begun) return failed(begun.error());
  if (path_->is_held()) hold(frames, std::min(call.stop_by, released + longest_hold));
  if (auto let_go = path_->end(session_); !let_go) return failed(let_go.error());
  if (auto free = until_free(now_() + longest_wait); !free) return failed(free.error());
  const auto free = now_() - iso_time_;
  await_pictures(path_->is_held() ? frames + 1000 : frames);
  if (pictures_.empty()) return said(Answer::no_word, "no picture of the burst was announced");
  auto answer = said(Answer::ok, {});
  answer.at = free;
  answer.released = released;
  const auto open = body::open_time(present_.exposure.shutter);
  const auto each = (free - released) / static_cast<std::int64_t>(pictures_.size());
  for (std::size_t n = 0; n < pictures_.size(); ++n) {
    const auto opened = released + each * static_cast<std::int64_t>(n);
    answer.frames.push_back({opened, opened + open, true, {}});
  }
  answer.frames.front().files = std::exchange(new_files_, {});
  return answer;
}

/// The button stays down for as long as a body of usual speed takes so many, or until so many have come.
void PlainCamera::hold(std::size_t frames, Utc until) {
  const auto usual = usual_interval + body::open_time(present_.exposure.shutter);
  until = std::min(until, now_() + usual * static_cast<std::int64_t>(frames));
  while (now_() < until && pictures_.size() < frames) {
    if (!read_news(news_wait_ms)) return;
  }
}

void PlainCamera::await_pictures(std::size_t frames) {
  last_news_ = now_();
  while (pictures_.size() < frames && now_() < last_news_ + quiet) {
    if (!read_news(drain_wait_ms)) return;
  }
}

rig::SettingsCall PlainCamera::other_iso() const {
  auto other = present_;
  other.exposure.iso = present_.exposure.iso == exposure::Iso{200} ? exposure::Iso{400} : exposure::Iso{200};
  return other;
}

/// Changes the ISO value as soon as the body takes it, and leaves it so.
Tried<void> PlainCamera::until_free(Utc give_up) {
  const auto wanted = other_iso();
  for (;;) {
    auto made = make(wanted);
    if (made) present_ = wanted;
    const bool busy = !made && answer_of(made.error()) == Answer::busy;
    if (!busy || now_() > give_up) return made;
    if (auto read = read_news(news_wait_ms); !read) return read;
  }
}

Tried<void> PlainCamera::learn_iso_time() {
  if (iso_time_ > 0us) return {};
  std::vector<Duration> times;
  for (int n = 0; n < 5; ++n) {
    const auto began = now_();
    if (auto changed = until_free(began + settles_within); !changed) return changed;
    times.push_back(now_() - began);
  }
  std::sort(times.begin(), times.end());
  iso_time_ = times[times.size() / 2];
  return {};
}

DeviceAnswer PlainCamera::drain() {
  last_news_ = now_();
  if (auto read = read_all_news(); !read) return failed(read.error());
  return said(Answer::ok, {});
}

Tried<void> PlainCamera::read_all_news() {
  for (int n = 0; n < 1000; ++n) {
    const auto news = session_.news(0);
    if (!news) return tl::unexpected{news.error()};
    if (news->kind == News::Kind::nothing) return {};
    take(*news);
  }
  return {};
}

Tried<void> PlainCamera::read_news(int wait_ms) {
  const auto news = session_.news(wait_ms);
  if (!news) return tl::unexpected{news.error()};
  take(*news);
  return {};
}

void PlainCamera::take(const News& news) {
  if (news.kind == News::Kind::other && told_.size() < most_told) told_.push_back(news.text);
  if (news.kind != News::Kind::file) return;
  last_news_ = now_();
  new_files_.push_back(news.text);
  if (pictures_.insert(std::string{base_name(news.text)}).second) announced_.push_back(last_news_);
}

DeviceAnswer PlainCamera::said(Answer answer, std::string why) {
  DeviceAnswer out;
  out.answer = answer;
  out.at = now_();
  out.why = std::move(why);
  return out;
}

DeviceAnswer PlainCamera::failed(const DriverError& error) {
  auto answer = said(answer_of(error), words_of(error));
  // What the body shows now, where it says no to one setting and has taken others.
  if (answer.answer == Answer::refused && known_) {
    answer.exposure = dials_.exposure(present_.exposure);
    answer.drive = dials_.drive();
  }
  return answer;
}

}  // namespace noonfall::gphoto
