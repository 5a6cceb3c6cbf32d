// Finding the body, opening it, and making it ready.
#include <utility>

#include "daemon/gphoto/body_description.h"
#include "daemon/gphoto/cabled_camera.h"
#include "daemon/gphoto/open_shutter.h"

namespace noonfall::gphoto {
namespace {

using namespace std::chrono_literals;
using rig::Answer;
using rig::DeviceAnswer;

constexpr Duration patient =
    15s;  // "cameras where a response takes 15 seconds" (library.c of libgphoto2 2.5.30)
constexpr Duration opening_news_most = 3s;
constexpr Duration leftovers_most = 20s;
constexpr Duration search_most = 8s;
constexpr Duration search_pause = 250ms;

}  // namespace

DeviceAnswer CabledCamera::reopen(const rig::ReopenCall& call) {
  if (call.remedy == order::Remedy::drain_and_retry && state_ == State::there) return drain();
  body_.reset();
  if (call.remedy == order::Remedy::reset_port && last_place_) cables_->reset_port(*last_place_);
  if (auto why = open(call.spare)) return went(std::move(*why));
  auto answer = said(Answer::ok, {});
  if (on_spare_) answer.spare = setup_.spare;
  return answer;
}

std::optional<std::string> CabledCamera::open(bool or_other) {
  auto found = find(or_other);
  if (!found) return found.error().why;
  last_place_ = found->where;
  auto family = family_of(*found->session);
  body_.emplace(Body{std::move(found->session), std::move(family), {}});
  patience_ = {};
  be_patient(patient);
  set_up(*body_->session, *body_->family);
  quickest_release_ = Duration::max();
  if (body_->family->is_silent() && !murmurs_) readiness_.give_time();
  state_ = State::there;
  silences_ = 0;
  files_.reopened();
  bracket_.clear();
  listed_ = false;
  return std::nullopt;
}

/// Another worker may be asking the same bodies who they are: what is held is tried again.
tl::expected<OpenedBody, NotFound> CabledCamera::find(bool or_other) {
  const auto give_up = now() + (setup_.profile ? search_most : Duration{});
  const auto& serial = on_spare_ ? setup_.spare : setup_.serial;
  auto found = find_body(*cables_, serial);
  while (!found && found.error().held_elsewhere && now() < give_up && !time_->stopping()) {
    time_->sleep(search_pause);
    found = find_body(*cables_, serial);
  }
  if (found || !or_other || setup_.spare.empty()) return found;
  auto other = find_body(*cables_, on_spare_ ? setup_.serial : setup_.spare);
  if (!other) return found;
  // Nothing that was learnt of the one is true of the other.
  const bool was_on_spare = on_spare_;
  *this = CabledCamera{setup_, cables_, time_};
  on_spare_ = !was_on_spare;
  return other;
}

void CabledCamera::set_up(Session& session, Family& family) {
  close_left_open(family, session, *time_);
  if (setup_.profile) end_left_bracket(session, family);
  if (auto why = family.why_no_release(); !why.empty()) alarms_.push_back(std::move(why));
  if (auto why = family.point_to_card(session)) alarms_.push_back(std::move(*why));
  mode_.clear();
  if (setup_.profile) look_at_mode();
  read_settings();
  if (!setup_.profile) return;
  if (auto why = family.leave_files(session, setup_.files)) alarms_.push_back(std::move(*why));
  for (auto& words : look_over(session, *setup_.profile, setup_.files, now()))
    notes_.push_back(std::move(words));
  if (auto words = stay_awake(session)) notes_.push_back(std::move(*words));
  copies_.clear();
  // What it has to tell of its opening, and of pictures of an earlier session.
  if (read_news(opening_news_most, 0)) take_copies(now() + leftovers_most);
  if (const auto stores = session.stores(); stores && !room_before_) room_before_ = free_kilobytes(*stores);
}

}  // namespace noonfall::gphoto
