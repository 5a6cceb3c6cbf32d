#include "daemon/gphoto/settings.h"

#include <fmt/format.h>

namespace noonfall::gphoto {
namespace {

template <class T>
auto by(Reader<T> read) {
  return [read](const std::vector<std::string>& labels) { return choices_of<T>(labels, read); };
}

template <class T>
Tried<void> send_one(Session& session, Setting<T>& setting, const std::optional<std::string>& label,
                     std::vector<Sent>& sent, const Respelling& respelling = {}) {
  if (!label || *label == setting.label) return {};
  auto done = session.set(setting.name, *label == respelling.shown ? respelling.sent : *label);
  if (done) {
    setting.label = *label;
    sent.push_back({setting.name, *label});
  }
  return done;
}

template <class T>
T named(const Setting<T>& setting, T wanted) {
  const auto value = setting.value();
  return value ? as_named(*value, wanted) : wanted;
}

template <class T>
bool is_near(const Setting<T>& setting, T wanted) {
  const auto shown = setting.value();
  if (setting.read_only) return shown && as_named(*shown, wanted) == wanted;
  const auto* choice = nearest_choice(setting.choices, wanted);
  return choice != nullptr && as_named(choice->value, wanted) == wanted;
}

template <class T>
std::string otherwise(const Setting<T>& setting, T wanted) {
  if (setting.name.empty()) return {};
  if (!setting.value()) return fmt::format("{} is \"{}\"", setting.name, setting.label);
  if (!setting.read_only || is_near(setting, wanted)) return {};
  return fmt::format("{} can't be set, it is \"{}\"", setting.name, setting.label);
}

}  // namespace

Settings Settings::read(Session& session) {
  Settings settings;
  auto shutter = session.first_of(shutter_names);
  if (shutter) settings.bulb_label_ = bulb_of(shutter->choices);
  settings.shutter_ = Setting<exposure::Shutter>::of(std::move(shutter), by(shutter_of));
  settings.aperture_ = Setting<exposure::FNumber>::of(session.first_of(aperture_names), by(f_number_of));
  settings.iso_ = Setting<exposure::Iso>::of(session.first_of({"iso"}), by(iso_of));
  settings.drive_ = Setting<body::Drive>::of(session.first_of(drive_names), drives_of);
  return settings;
}

Tried<void> Settings::send(Session& session, const rig::SettingsCall& wanted, std::vector<Sent>& sent) {
  const auto& [shutter, aperture, iso] = wanted.exposure;
  bulb_wanted_ = may_use_bulb_ && !bulb_label_.empty() && is_too_long(shutter, shutter_.choices);
  const auto shutter_label = bulb_wanted_ ? std::optional{bulb_label_} : shutter_.label_for(shutter);
  auto done = send_one(session, shutter_, shutter_label, sent, respelling_);
  if (done && aperture) done = send_one(session, aperture_, aperture_.label_for(*aperture), sent);
  if (done) done = send_one(session, iso_, iso_.label_for(iso), sent);
  if (done) done = send_one(session, drive_, drive_.label_for(wanted.drive), sent);
  return done;
}

Tried<bool> Settings::shows(Session& session, const Sent& sent) {
  auto control = session.control(sent.name);
  if (!control) return tl::unexpected{control.error()};
  const auto take = [&](auto& setting) {
    if (setting.name == sent.name) setting.label = control->label;
  };
  take(shutter_);
  take(aperture_);
  take(iso_);
  take(drive_);
  return control->label == sent.label;
}

bool Settings::can_make(const exposure::Exposure& wanted) const {
  const bool bulb = may_use_bulb_ && !bulb_label_.empty() && is_too_long(wanted.shutter, shutter_.choices);
  const bool aperture =
      !wanted.aperture || aperture_.choices.size() < 2 || is_near(aperture_, *wanted.aperture);
  return (bulb || is_near(shutter_, wanted.shutter)) && aperture && is_near(iso_, wanted.iso);
}

bool Settings::hear(std::string_view name, std::string_view label) {
  bool news = false;
  const auto take = [&](auto& setting) {
    if (setting.name != name || setting.label == label) return;
    setting.label = std::string{label};
    news = true;
  };
  take(shutter_);
  take(aperture_);
  take(iso_);
  take(drive_);
  return news;
}

exposure::Exposure Settings::exposure(const exposure::Exposure& wanted) const {
  exposure::Exposure shown = wanted;
  shown.shutter = named(shutter_, wanted.shutter);
  if (wanted.aperture) shown.aperture = named(aperture_, *wanted.aperture);
  shown.iso = named(iso_, wanted.iso);
  return shown;
}

std::string Settings::why_otherwise(const exposure::Exposure& wanted) const {
  const auto shutter = is_bulb_wanted() ? std::string{} : otherwise(shutter_, wanted.shutter);
  for (auto words : {shutter, otherwise(iso_, wanted.iso)}) {
    if (!words.empty()) return words;
  }
  return {};
}

}  // namespace noonfall::gphoto
