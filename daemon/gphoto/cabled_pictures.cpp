// Pictures that come to us instead of staying on the body's card, and whether there is room for any.
#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "daemon/gphoto/body_description.h"
#include "daemon/gphoto/cabled_camera.h"
#include "lib/body/model.h"

namespace noonfall::gphoto {
namespace {

constexpr std::uint64_t little_room = 2'000'000'000;  // bytes; some fifty pictures

double megabytes(std::size_t bytes) {
  return static_cast<double>(bytes) / 1e6;
}

}  // namespace

tl::expected<void, std::string> CabledCamera::keep_picture(const std::string& path) {
  if (!setup_.pictures) return {};
  const auto bytes = body_->session->fetch(path);
  if (!bytes) return tl::unexpected{words_of(bytes.error())};
  const auto kept = setup_.pictures->keep(std::string_view{path}.substr(path.rfind('/') + 1), *bytes);
  if (!kept) return tl::unexpected{kept.error()};
  notes_.push_back(fmt::format("the picture {} came over the cable: {}, {:.1f} MB", path, *kept,
                               megabytes(bytes->size())));
  (void)files_.announced(*kept, now());
  return {};
}

/// The driver has downloaded it, and forgets it after the next two.
void CabledCamera::keep_or_say(const std::string& path) {
  if (const auto kept = keep_picture(path); !kept)
    alarms_.push_back(fmt::format("the picture {} came over the cable and is lost: {}", path, kept.error()));
  if (std::exchange(memory_alarm_, true)) return;
  alarms_.push_back(fmt::format(
      "pictures {} instead of staying on the card: put a card in and look at where the body saves them to",
      setup_.pictures ? "come over the cable, which slows the shooting," : "go to the body's memory"));
}

/// Before the card was listed the driver would ask about every file of the folder. What fails here and
/// matters shows at the next look.
std::optional<std::string> CabledCamera::preview(const std::string& file, Utc until) {
  const auto found = card_.find(file);
  if (state_ != State::there || !listed_ || found == card_.end()) return std::nullopt;
  constexpr Duration most = std::chrono::seconds{4};
  be_patient(std::min(until - now(), most));
  auto bytes = body_->session->preview(found->second);
  if (bytes) return std::move(*bytes);
  if (!std::exchange(no_preview_noted_, true))
    notes_.push_back(fmt::format("the body gives no small picture of {}: {}", file, words_of(bytes.error())));
  return std::nullopt;
}

/// One that isn't kept stays in the body, which may block it: it is tried again, and not for ever.
void CabledCamera::take_copies(Utc until) {
  constexpr int most_failures = 3;
  while (!copies_.empty() && now() + copying_time_ <= until) {
    const auto began = now();
    const auto kept = keep_picture(copies_.front());
    if (kept) (void)body_->session->drop(copies_.front());
    copying_time_ = std::max(copying_time_, now() - began);
    if (!kept && ++copy_failures_ < most_failures) return;
    if (!kept)
      alarms_.push_back(
          fmt::format("the picture {} can't be fetched from the body: {}", copies_.front(), kept.error()));
    copies_.pop_front();
    copy_failures_ = 0;
  }
}

/// Some bodies write nothing while they are tethered, and say nothing of it either.
void CabledCamera::look_at_room(rig::Care& care) {
  if (setup_.pictures && memory_alarm_ && setup_.pictures->free_bytes() < little_room && !room_alarm_) {
    room_alarm_ = true;
    care.alarms.push_back(fmt::format("{:.1f} GB are free on the disk where pictures come to",
                                      static_cast<double>(setup_.pictures->free_bytes()) / 1e9));
  }
  if (auto why = setup_.pictures ? setup_.pictures->take_trouble() : std::string{}; !why.empty())
    care.alarms.push_back(fmt::format("a picture that came over the cable may not be on the disk: {}", why));
  if (!room_before_ || room_looked_at_ || now() < first_written_) return;
  const auto stores = body_->session->stores();
  if (!stores) return;
  room_looked_at_ = true;
  const auto left = free_kilobytes(*stores).value_or(0);
  const auto half = body::frame_size(*setup_.profile, setup_.files).value * 1e6 / 1024 / 2;
  if (static_cast<double>(*room_before_) - static_cast<double>(left) >= half || memory_alarm_) return;
  care.alarms.push_back(
      "the card has as much room as before the first frame: the body may write nothing. Look at its screen, "
      "take a "
      "frame by hand, put another card in");
}

}  // namespace noonfall::gphoto
