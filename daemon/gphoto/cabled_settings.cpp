// What a person at the body, or the body itself, does to its settings while it is open.
#include <algorithm>

#include <fmt/format.h>

#include "daemon/gphoto/body_description.h"
#include "daemon/gphoto/cabled_camera.h"

namespace noonfall::gphoto {
namespace {

using namespace std::chrono_literals;

constexpr Duration reading_pause = 1s;  // while the lists lack what is wanted

struct Told {
  std::string_view name;
  std::string_view label;
};

/// By the driver's words: PTP Property d101 changed, "aperture" to "8".
std::optional<Told> told_by(std::string_view text) {
  const auto name = text.find('"');
  const auto between = text.find("\" to \"", name == std::string_view::npos ? 0 : name + 1);
  if (name == std::string_view::npos || between == std::string_view::npos || !text.ends_with('"'))
    return std::nullopt;
  const auto label = between + 6;
  if (label >= text.size()) return std::nullopt;
  return Told{text.substr(name + 1, between - name - 1), text.substr(label, text.size() - 1 - label)};
}

}  // namespace

/// Which lists there are depends on the mode dial; where it stands is seen with them.
void CabledCamera::read_settings() {
  auto& [session, family, settings] = *body_;
  family->open_settings(*session);
  settings = Settings::read(*session);
  settings.respell(family->respelling());
  if (setup_.profile && family->has_bulb()) settings.allow_bulb();
  if (family->bursts() == Bursts::none) settings.forbid_bursts();
  dials_turned_ = false;
}

void CabledCamera::read_settings_again() {
  if (!dials_turned_ && (body_->settings.can_make(wanted_) || now() < next_reading_)) return;
  next_reading_ = now() + reading_pause;
  look_at_mode();
  read_settings();
}

void CabledCamera::look_at_mode() {
  const auto shown = shown_mode(*body_->session);
  if (!shown || shown->label == mode_) return;
  const bool first = mode_.empty();
  mode_ = shown->label;
  dials_turned_ = true;
  if (shown->automatic)
    alarms_.push_back(fmt::format("the mode dial is at \"{}\": exposures can't be set; turn it to M", mode_));
  else if (!first)
    notes_.push_back(fmt::format("the mode dial was turned to \"{}\": the settings are read again", mode_));
}

/// Whether it is of a setting that a plan sets, or of the exposure mode.
bool CabledCamera::hear_setting(const News& news) {
  const auto told = told_by(news.text);
  if (!told) return false;
  const auto sent = std::ranges::find(awaited_, told->name, &Sent::name);
  if (sent != awaited_.end()) sent->told = true;
  if (sent != awaited_.end() && sent->label == told->label) return true;
  const bool of_mode = std::ranges::find(mode_names, told->name) != mode_names.end() && told->label != mode_;
  if (body_->settings.hear(told->name, told->label) || of_mode) dials_turned_ = true;
  return of_mode || body_->settings.has(told->name);
}

}  // namespace noonfall::gphoto
