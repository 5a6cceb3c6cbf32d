#include "daemon/gphoto/gphoto_camera.h"

#include <algorithm>
#include <chrono>
#include <thread>
#include <utility>

#include <fmt/format.h>

#include "daemon/gphoto/body_setup.h"
#include "daemon/gphoto/open_shutter.h"
#include "lib/base/match.h"
#include "lib/body/model.h"

namespace noonfall::gphoto {
namespace {

using namespace std::chrono_literals;
using rig::Answer;
using rig::DeviceAnswer;

constexpr int silences_until_gone = 3;
constexpr Duration settle_margin = 500ms;
constexpr int settle_wait_ms = 5;
constexpr Duration old_news_most = 100ms;
constexpr Duration drain_most = 500ms;
constexpr int drain_wait_ms = 50;
constexpr Duration search_most = 8s;
constexpr Duration search_pause = 250ms;

}  // namespace

GphotoCamera::GphotoCamera(CabledSetup setup, worker::WorkerClock& clock, const worker::StopSignal& stop)
    : setup_{std::move(setup)},
      clock_{clock},
      stop_{stop},
      files_{setup_.files == body::Files::raw_and_jpeg ? std::size_t{2} : std::size_t{1}},
      buffer_{setup_.profile} {}

DeviceAnswer GphotoCamera::answer(const rig::DeviceCall& call, Utc /*now*/) {
  if (const auto* asked = std::get_if<rig::ReopenCall>(&call)) return reopen(*asked);
  if (state_ == State::closed) {
    if (auto why = open()) return went(std::move(*why));
  }
  if (state_ == State::away) return said(Answer::gone, "the body is away");
  auto answer = std::visit(Match{[&](const rig::SettingsCall& asked) { return set(asked); },
                                 [&](const rig::ReleaseCall& asked) { return release(asked); },
                                 [&](const rig::DrainCall&) { return drain(); },
                                 [&](const rig::ReopenCall& asked) { return reopen(asked); }},
                           call);
  if (answer.answer != Answer::no_word) silences_ = 0;
  return answer;
}

DeviceAnswer GphotoCamera::set(const rig::SettingsCall& call) {
  // What was told of a setting before isn't about this one.
  if (body_->path->settings_are_told()) {
    if (auto read = read_news(old_news_most, 0); !read) return failed(read.error());
  }
  dials_told_.clear();
  std::vector<Dials::Sent> sent;
  const auto done = body_->dials.send(body_->session, call, sent);
  DeviceAnswer answer;
  if (!done) {
    answer = failed(done.error());
    if (answer.answer != Answer::refused) return answer;
  }
  if (const auto settled = settle(sent, call); !settled) return failed(settled.error());
  answer.exposure = body_->dials.exposure(call.exposure);
  answer.drive = body_->dials.drive();
  present_ = {*answer.exposure, answer.drive};
  if (const auto words = body_->dials.no_value(); !words.empty() && answer.answer == Answer::ok)
    answer = said(Answer::refused, words);
  answer.exposure = present_.exposure;
  answer.drive = present_.drive;
  answer.at = now();
  return answer;
}

/// A body may take a setting long after it has said yes, and until then shows the old value.
Tried<void> GphotoCamera::settle(const std::vector<Dials::Sent>& sent, const rig::SettingsCall& call) {
  const auto usual =
      body::setting_time(setup_.profile, nullptr, call.exposure) + setup_.profile.setting_times.drive;
  const auto give_up = now() + 3 * usual + settle_margin;
  for (const auto& each : sent) {
    for (;;) {
      const auto shows = body_->has(each, dials_told_);
      if (!shows) return tl::unexpected{shows.error()};
      if (*shows || now() >= give_up) break;
      if (auto read = read_news(0us, settle_wait_ms); !read) return read;
    }
  }
  return {};
}

Tried<bool> GphotoCamera::Body::has(const Dials::Sent& sent, const std::vector<std::string>& told) {
  const auto is_of_it = [&](const std::string& words) {
    return words.find(fmt::format("\"{}\" to \"", sent.name)) != std::string::npos;
  };
  if (path->settings_are_told() && std::ranges::none_of(told, is_of_it)) return false;
  return dials.shows(session, sent);
}

DeviceAnswer GphotoCamera::drain() {
  if (auto read = read_news(drain_most, drain_wait_ms); !read) return failed(read.error());
  if (const auto room = body_->session.room(); !room) return failed(room.error());
  return said(Answer::ok, {});
}

DeviceAnswer GphotoCamera::reopen(const rig::ReopenCall& call) {
  if (call.rung == order::Rung::drain_and_retry && state_ == State::there) return drain();
  body_.reset();
  if (call.rung == order::Rung::reset_port && last_place_) library_.reset_port(*last_place_);
  if (auto why = open()) return went(std::move(*why));
  return said(Answer::ok, {});
}

/// Another worker may be asking the same bodies who they are: what is held is tried again.
std::optional<std::string> GphotoCamera::open() {
  const auto give_up = now() + search_most;
  auto found = find_body(library_, setup_.serial);
  while (!found && found.error().held_elsewhere && now() < give_up && !stop_.requested()) {
    std::this_thread::sleep_for(search_pause);
    found = find_body(library_, setup_.serial);
  }
  if (!found) return found.error().why;
  last_place_ = found->where;
  auto& session = found->session;
  auto path = release_path_of(session);
  close_left_open(*path, session);
  if (auto why = point_to_card(session)) alarms_.push_back(std::move(*why));
  if (auto why = leave_files(session, setup_.files)) alarms_.push_back(std::move(*why));
  for (auto& words : look_over(session, setup_.profile, setup_.files, now()))
    notes_.push_back(std::move(words));
  auto dials = Dials::read(session);
  if (path->has_bulb()) dials.allow_bulb();
  body_.emplace(Body{std::move(session), std::move(dials), std::move(path)});
  state_ = State::there;
  silences_ = 0;
  listed_ = false;
  return std::nullopt;
}

DeviceAnswer GphotoCamera::failed(const DriverError& error) {
  auto kind = answer_of(error);
  auto why = words_of(error);
  // Most failures look alike, those of a body that isn't there any more among them.
  if (kind != Answer::busy && kind != Answer::gone && !ptp_code(error.text)) {
    if (const auto room = body_->session.room(); !room) {
      kind = answer_of(room.error()) == Answer::gone ? Answer::gone : Answer::no_word;
      why = words_of(room.error());
    }
  }
  if (kind == Answer::gone) return went(std::move(why));
  if (kind == Answer::no_word && ++silences_ >= silences_until_gone)
    return went(fmt::format("the body answered nothing {} times running", silences_));
  return said(kind, std::move(why));
}

DeviceAnswer GphotoCamera::said(Answer answer, std::string why) {
  DeviceAnswer out;
  out.answer = answer;
  out.at = now();
  out.why = std::move(why);
  return out;
}

DeviceAnswer GphotoCamera::went(std::string why) {
  state_ = State::away;
  body_.reset();
  return said(Answer::gone, std::move(why));
}

}  // namespace noonfall::gphoto
