#include "daemon/gphoto/cabled_camera.h"

#include <algorithm>
#include <chrono>
#include <utility>

#include <fmt/format.h>

#include "daemon/gphoto/body_description.h"
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
constexpr Duration drain_most = 500ms;
constexpr int drain_wait_ms = 50;
constexpr Duration least_patience = 2s;

// Of a body without a profile, whose times are to be found out.
constexpr Duration slowest_settles = 10s;
constexpr Duration slowest_news = 3s;
constexpr Duration old_news_most = 100ms;
constexpr Duration all_news_most = 10s;
constexpr int closest_wait_ms = 1;

template <class T>
body::Chosen chosen(const Setting<T>& setting, T wanted) {
  const auto* choice = nearest_choice(setting.choices, wanted);
  const bool near = choice != nullptr && as_named(choice->value, wanted) == wanted;
  return {to_text(wanted), near ? choice->label : std::string{}};
}

}  // namespace

CabledCamera::CabledCamera(CabledSetup setup, std::shared_ptr<Cables> cables, std::shared_ptr<PlanTime> time)
    : setup_{std::move(setup)},
      cables_{std::move(cables)},
      time_{std::move(time)},
      files_{setup_.files == body::Files::raw_and_jpeg ? std::size_t{2} : std::size_t{1}} {
  if (setup_.profile) buffer_.emplace(*setup_.profile);
}

DeviceAnswer CabledCamera::answer(const rig::DeviceCall& call, Utc /*now*/) {
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

DeviceAnswer CabledCamera::set(const rig::SettingsCall& call) {
  const auto began = now();
  const auto made = make(call);
  // Half of what was seen before: a driver may sleep within a setting (200 ms, Sony's in libgphoto2 2.5.30).
  if (made && !awaited_.empty()) settings_time_ = (settings_time_ + (now() - began)) / 2;
  auto answer = made ? said(Answer::ok, {}) : failed(made.error());
  if (!read_back_ || (!made && answer.answer != Answer::refused)) return answer;
  if (const auto words = body_->settings.why_otherwise(wanted_); made && !words.empty())
    answer = said(Answer::refused, words);
  answer.exposure = present().exposure;
  answer.drive = present().drive;
  return answer;
}

/// Sends what differs and waits until the body has it. A setting that is refused ends the sending; what was
/// sent before it is waited for all the same.
Tried<void> CabledCamera::make(const rig::SettingsCall& call) {
  read_back_ = false;
  awaited_.clear();
  // What was told of a setting before isn't about this one, nor a picture that an earlier host released.
  const bool told = !setup_.profile && body_->family->settings_are_told();
  if (told || !(files_.counts() || body_->family->is_silent())) {
    if (auto read = read_news(setup_.profile ? old_news_most : all_news_most, 0); !read && told) return read;
  }
  wanted_ = call.exposure;
  read_settings_again();
  const auto rest = arrange_bracket(call);
  if (!rest) return tl::unexpected{rest.error()};
  auto done = body_->settings.send(*body_->session, *rest, awaited_);
  if (!done && body_->family->answer_of(done.error()) != Answer::refused) return done;
  if (auto settled = settle(call); !settled) return settled;
  read_back_ = true;
  return done;
}

/// A body may take a setting long after it has said yes, and until then shows the old value. What it never
/// takes is read back as it is.
Tried<void> CabledCamera::settle(const rig::SettingsCall& call) {
  const auto& profile = setup_.profile;
  auto give_up = now() + slowest_settles;
  if (profile) {
    const auto usual = body::setting_time(*profile, nullptr, call.exposure) + profile->setting_times.drive;
    give_up = now() + 3 * usual + settle_margin;
  }
  auto told_by = now() + slowest_news;
  if (profile) {
    if (auto settled = settle_by_word(give_up); !settled) return settled;
    told_by = now();
  }
  for (const auto& each : awaited_) {
    for (;;) {
      const auto shows = has(each, told_by);
      if (!shows) return tl::unexpected{shows.error()};
      if (*shows || now() >= give_up) break;
      if (auto read = read_news(0us, profile ? settle_wait_ms : closest_wait_ms); !read) return read;
    }
  }
  return {};
}

/// Where the body tells so much that its word on these may be far behind, they are given the time they take
/// by the profile: a release that comes too early is answered busy.
Tried<void> CabledCamera::settle_by_word(Utc give_up) {
  const auto usual = usual_time();
  const auto since = now();
  const bool was_up_to_date = up_to_date_;
  const auto all_told = [&] { return std::ranges::all_of(awaited_, &Sent::told); };
  while (body_->family->settings_are_told() && !awaited_.empty() && now() < give_up) {
    const bool told = all_told() && (was_up_to_date || now() >= since + usual * 7 / 10);
    const bool behind = !up_to_date_ && now() >= since + usual;
    if (told || behind) break;
    if (auto read = read_news(0us, settle_wait_ms); !read) return read;
  }
  return {};
}

/// What the settings that were sent take by the profile, one after the other.
Duration CabledCamera::usual_time() const {
  const auto& times = setup_.profile->setting_times;
  const auto& settings = body_->settings;
  Duration sum{};
  for (const auto& sent : awaited_) {
    sum += sent.name == settings.shutter().name    ? times.shutter
           : sent.name == settings.aperture().name ? times.aperture
           : sent.name == settings.iso().name      ? times.iso
                                                   : times.drive;
  }
  return sum;
}

Tried<bool> CabledCamera::has(const Sent& sent, Utc told_by) {
  if (body_->family->settings_are_told() && !sent.told && now() < told_by) return false;
  return body_->settings.shows(*body_->session, sent);
}

/// What the body is set to as far as is known, read back or not.
rig::SettingsCall CabledCamera::present() const {
  return {body_->settings.exposure(wanted_),
          bracket_.empty() ? body_->settings.drive() : body::Drive::bracket};
}

DeviceAnswer CabledCamera::drain() {
  if (auto read = read_news(drain_most, drain_wait_ms); !read) return failed(read.error());
  if (const auto stores = body_->session->stores(); !stores) return failed(stores.error());
  return said(Answer::ok, {});
}

void CabledCamera::be_patient(Duration most) {
  if (most == std::exchange(patience_, most)) return;
  body_->session->answer_within(most);
}

DeviceAnswer CabledCamera::failed(const DriverError& error) {
  auto kind = body_->family->answer_of(error);
  auto why = words_of(error);
  if (kind == Answer::no_word) be_patient(least_patience);
  // Most failures look alike, those of a body that isn't there any more among them.
  if (kind != Answer::busy && kind != Answer::gone && !ptp_code(error.text)) {
    if (const auto stores = body_->session->stores(); !stores) {
      kind = answer_of(stores.error()) == Answer::gone ? Answer::gone : Answer::no_word;
      why = words_of(stores.error());
    }
  }
  if (kind == Answer::gone) return went(std::move(why));
  if (kind == Answer::no_word && ++silences_ >= silences_until_gone)
    return went(fmt::format("the body answered nothing {} times running", silences_));
  return said(kind, std::move(why));
}

DeviceAnswer CabledCamera::said(Answer answer, std::string why) {
  DeviceAnswer out;
  out.answer = answer;
  out.at = now();
  out.why = std::move(why);
  return out;
}

DeviceAnswer CabledCamera::went(std::string why) {
  state_ = State::away;
  body_.reset();
  return said(Answer::gone, std::move(why));
}

Result<body::Description> CabledCamera::description() {
  if (state_ == State::closed) {
    if (auto why = open()) (void)went(std::move(*why));
  }
  if (state_ != State::there) return fail(error_at({}, "gone", "the body is away"));
  return read_description(*body_->session, *last_place_, now());
}

std::optional<Megabytes> CabledCamera::file_size(const std::string& name) {
  const auto known = card_.find(name);
  if (state_ != State::there || known == card_.end()) return std::nullopt;
  const auto bytes = body_->session->file_bytes(known->second);
  if (!bytes || *bytes == 0) return std::nullopt;
  return Megabytes{static_cast<double>(*bytes) / 1e6};
}

std::vector<body::Chosen> CabledCamera::choices_for(const exposure::Exposure& exposure) {
  if (state_ != State::there) return {};
  const auto& settings = body_->settings;
  std::vector<body::Chosen> list{chosen(settings.shutter(), exposure.shutter)};
  if (exposure.aperture && !settings.aperture().name.empty())
    list.push_back(chosen(settings.aperture(), *exposure.aperture));
  list.push_back(chosen(settings.iso(), exposure.iso));
  return list;
}

}  // namespace noonfall::gphoto
