// What a body tells between calls, and what is asked of it then.
#include <algorithm>
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "daemon/gphoto/body_description.h"
#include "daemon/gphoto/cabled_camera.h"
#include "daemon/gphoto/labels.h"

namespace noonfall::gphoto {
namespace {

using namespace std::chrono_literals;

constexpr Duration look_period = 2s;  // keeps a body awake, too
constexpr Duration health_period = 30s;
constexpr Duration health_time = 5s;    // what has to be left before anything is due
constexpr Duration listing_time = 30s;  // likewise, at least: a full card takes long to list
constexpr Duration first_pause = 4s;    // after a listing that failed; each further one doubles it
constexpr Duration longest_pause = 10min;
constexpr Duration quiet_time = 5s;  // without news: what is missing won't be announced any more
constexpr Duration news_most = 100ms;
constexpr Duration all_news_most = 10s;
constexpr Duration least_patience = 2s;
constexpr Duration most_patience = 15s;
constexpr int battery_alarm_percent = 10;

/// "/store_00010001/DCIM/100A/A0001.RAW" is "DCIM/100A/A0001.RAW" on its card.
std::string on_card(const std::string& path) {
  const auto after = path.find('/', 1);
  return path.starts_with("/store_") && after != std::string::npos ? path.substr(after + 1) : path;
}

std::string words_of(const AwaitedFrame& frame, const char* how) {
  const auto& id = frame.id;
  return fmt::format("the picture of frame {} of set {} of step {} {}: {}", id.frame, id.set, id.step + 1,
                     how, fmt::join(frame.files, ", "));
}

}  // namespace

/// Everything told by now, and until nothing comes for `wait_ms`; at least one look, at most for `most`.
Tried<void> CabledCamera::read_news(Duration most, int wait_ms) {
  const auto until = now() + most;
  do {
    const auto asked = now();
    const auto news = body_->session->news(wait_ms);
    if (!news) return tl::unexpected{news.error()};
    up_to_date_ = news->kind == News::Kind::nothing;
    if (up_to_date_) {
      heard_to_ = asked;
      break;
    }
    take(*news);
  } while (now() < until);
  return {};
}

void CabledCamera::take(const News& news) {
  body_->family->hear(news.text);
  if (!hear_setting(news) && news.kind == News::Kind::other) ++murmurs_heard_;
  if (news.kind != News::Kind::file) return;
  quiet_since_ = now();
  const auto path = on_card(news.text);
  if (!setup_.profile) {
    unmeasured_.files.push_back(path);
    unmeasured_.last_picture = now();
    if (unmeasured_.pictures.insert(std::string{base_name(path)}).second)
      unmeasured_.announced.push_back(now());
  }
  if (body_->family->keeps_copies()) return copies_.push_back(news.text);
  if (is_in_memory(news.text)) return keep_or_say(news.text);
  card_.insert_or_assign(path, news.text);
  (void)files_.announced(path, now());
}

rig::Care CabledCamera::look_after(Utc /*now*/, Utc until) {
  rig::Care care;
  if (state_ == State::closed) {
    if (auto why = open()) care.gone = rig::Gone{now(), went(std::move(*why)).why};
  }
  if (state_ == State::there && until - now() >= look_period) {
    be_patient(std::clamp(until - now(), least_patience, most_patience));
    // A body that tells a lot has it read while there is time.
    const auto time = std::clamp((until - now()) / 2, news_most, all_news_most);
    if (auto read = read_news(time, 0); !read) {
      if (auto answer = failed(read.error()); answer.answer == rig::Answer::gone)
        care.gone = rig::Gone{answer.at, answer.why};
    }
    if (!care.gone) look_at_mode();
    if (!care.gone && dials_turned_) read_settings();
    if (!care.gone) take_copies(until);
    if (!care.gone) look_at_room(care);
    if (!care.gone && until - now() >= health_time && now() >= next_health_) check_health(care);
    if (!care.gone && until - now() >= std::max(listing_time, listing_time_)) reconcile(care);
  }
  note_late_files(care);
  std::ranges::move(std::exchange(notes_, {}), std::back_inserter(care.notes));
  std::ranges::move(std::exchange(alarms_, {}), std::back_inserter(care.alarms));
  if (state_ == State::there) care.again = now() + look_period;
  return care;
}

void CabledCamera::check_health(rig::Care& care) {
  next_health_ = now() + health_period;
  const auto stores = body_->session->stores();
  if (!stores) {
    if (auto answer = failed(stores.error()); answer.answer == rig::Answer::gone)
      care.gone = rig::Gone{answer.at, answer.why};
    return;
  }
  silences_ = 0;
  const auto battery = body_->session->control("batterylevel");
  const auto percent = battery ? percent_of(battery->label) : std::nullopt;
  care.levels = rig::Levels{percent, frames_in(*stores)};
  if (percent && *percent < battery_alarm_percent && !std::exchange(battery_alarm_, true))
    care.alarms.push_back(fmt::format("the battery is nearly empty: {}", battery->label));
}

std::optional<int> CabledCamera::frames_in(const std::vector<Store>& stores) const {
  const auto free = free_kilobytes(stores);
  if (!setup_.profile || !free) return std::nullopt;
  const auto bytes = static_cast<double>(*free) * 1024;
  return static_cast<int>(bytes / (body::frame_size(*setup_.profile, setup_.files).value * 1e6));
}

/// The first listing warms the driver up: with its first file it would otherwise ask about every file of the
/// folder. Later ones say what became of frames that nothing was announced of.
void CabledCamera::reconcile(rig::Care& care) {
  const bool wanted = !listed_ || (!files_.empty() && now() - quiet_since_ >= quiet_time);
  if (!wanted || now() < next_listing_) return;
  const auto began = now();
  const auto files = body_->session->files();
  listing_time_ = std::max(listing_time_, now() - began);
  if (!files) {
    listing_pause_ = std::clamp(2 * listing_pause_, first_pause, longest_pause);
    next_listing_ = now() + listing_pause_;
    return;
  }
  listing_pause_ = {};
  const bool first = !std::exchange(listed_, true);
  for (const auto& file : *files) {
    const auto path = on_card(file);
    if (card_.emplace(path, file).second && !first) (void)files_.announced(path, now());
  }
  if (first) {
    if (!card_.empty()) files_.last_on_card(card_.rbegin()->first);
    return;
  }
  for (const auto& frame : files_.take_all()) {
    if (frame.files.empty()) {
      care.notes.push_back(fmt::format("of frame {} of set {} of step {} there is no picture on the card",
                                       frame.id.frame, frame.id.set, frame.id.step + 1));
    } else {
      care.notes.push_back(words_of(frame, "was never announced and is on the card"));
    }
  }
}

void CabledCamera::note_late_files(rig::Care& care) {
  for (const auto& frame : files_.take_complete())
    care.notes.push_back(words_of(frame, "was announced late"));
}

}  // namespace noonfall::gphoto
