// Taking frames with a body of which nothing is known: the evidence is the host's own stamps.
#include <algorithm>
#include <utility>

#include "daemon/gphoto/cabled_camera.h"
#include "lib/body/model.h"

namespace noonfall::gphoto {
namespace {

using namespace std::chrono_literals;
using rig::Answer;
using rig::DeviceAnswer;

constexpr Duration news_most = 10s;
constexpr int news_wait_ms = 1;
constexpr int pictures_wait_ms = 50;
constexpr Duration longest_hold = 12s;
constexpr Duration usual_interval = 100ms;  // of a burst (common practice, no source)
constexpr Duration quiet = 2s;              // no more pictures come
constexpr Duration longest_wait = 2min;
constexpr Duration iso_within = 10s;
constexpr std::size_t most_unasked = 1000;  // pictures that a held burst may bring beyond those asked for

/// A bracket that is in force stays so.
rig::SettingsCall other_iso(rig::SettingsCall settings, const std::vector<exposure::Shutter>& bracket) {
  settings.bracket = bracket;
  auto& iso = settings.exposure.iso;
  iso = iso == exposure::Iso{200} ? exposure::Iso{400} : exposure::Iso{200};
  return settings;
}

}  // namespace

DeviceAnswer CabledCamera::release_unmeasured(const rig::ReleaseCall& call) {
  const auto frames = call.frames.size();
  if (frames > 1) {
    if (auto learnt = learn_iso_time(); !learnt) return failed(learnt.error());
  }
  auto& [session, family, settings] = *body_;
  // Drivers drop what is pending when they release.
  if (auto read = read_news(news_most, 0); !read) return failed(read.error());
  if (frames > 1) {
    unmeasured_.announced.clear();
    unmeasured_.pictures.clear();
  }
  if (auto ready = family->ready(*session, frames); !ready) return failed(ready.error());
  const auto open = body::open_time(present().exposure.shutter);
  const auto released = now();
  auto begun = family->begin(*session);
  if (begun) begun = wait_for_word();
  if (!begun) {
    auto answer = failed(begun.error());
    if (answer.answer == Answer::busy) take_copies(Utc::max());
    return answer;
  }
  // For as long as a body of usual speed takes so many, or until so many have come.
  if (frames > 1 && family->bursts() == Bursts::held) {
    const int times = bracket_.empty() ? 1 : 3;  // a bracket ends by itself, and has longer exposures
    const auto usual = (usual_interval + open) * static_cast<std::int64_t>(frames) * times;
    hold(std::min(call.stop_by, released + std::min(usual, longest_hold)), frames);
  }
  auto answer = said(Answer::ok, {});
  if (auto let_go = family->end(*session); !let_go) return failed(let_go.error());
  if (frames > 1)
    return burst_over(released, family->bursts() == Bursts::held ? frames + most_unasked : frames);
  answer.released = released;
  answer.frames.push_back({released, released + open, true, std::exchange(unmeasured_.files, {})});
  return answer;
}

DeviceAnswer CabledCamera::burst_over(Utc released, std::size_t pictures) {
  if (auto free = until_free(now() + longest_wait); !free) return failed(free.error());
  auto answer = said(Answer::ok, {});
  answer.at -= unmeasured_.iso_time;
  answer.released = released;
  await_pictures(pictures);
  const auto taken = unmeasured_.pictures.size();
  if (taken == 0) return said(Answer::no_word, "no picture of the burst was announced");
  const auto open = body::open_time(present().exposure.shutter);
  const auto each = (answer.at - released) / static_cast<std::int64_t>(taken);
  for (std::size_t n = 0; n < taken; ++n) {
    const auto opened = released + each * static_cast<std::int64_t>(n);
    answer.frames.push_back({opened, opened + open, true, {}});
  }
  answer.frames.front().files = std::exchange(unmeasured_.files, {});
  return answer;
}

void CabledCamera::await_pictures(std::size_t most) {
  unmeasured_.last_picture = now();
  while (unmeasured_.pictures.size() < most && now() < unmeasured_.last_picture + quiet) {
    if (!read_news(0us, pictures_wait_ms)) return;
  }
}

/// Changes the ISO value as soon as the body takes it, and leaves it so.
Tried<void> CabledCamera::until_free(Utc give_up) {
  const auto wanted = other_iso(present(), bracket_);
  for (;;) {
    auto made = make(wanted);
    const bool busy = !made && body_->family->answer_of(made.error()) == Answer::busy;
    if (!busy || now() > give_up) return made;
    if (auto read = read_news(0us, news_wait_ms); !read) return read;
  }
}

Tried<void> CabledCamera::learn_iso_time() {
  if (unmeasured_.iso_time > 0us) return {};
  std::vector<Duration> times;
  for (int n = 0; n < 5; ++n) {
    const auto began = now();
    if (auto changed = until_free(began + iso_within); !changed) return changed;
    times.push_back(now() - began);
  }
  std::ranges::sort(times);
  unmeasured_.iso_time = times[times.size() / 2];
  return {};
}

}  // namespace noonfall::gphoto
