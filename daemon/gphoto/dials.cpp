#include "daemon/gphoto/dials.h"

#include <utility>

#include <fmt/format.h>

namespace noonfall::gphoto {
namespace {

template <class T>
Dial<T> dial(std::optional<Control> control, Reader<T> read) {
  if (!control) return {};
  auto choices = choices_of<T>(control->choices, read);
  return {std::move(control->name), std::move(control->label), std::move(choices)};
}

Dial<body::Drive> drive_dial(std::optional<Control> control) {
  if (!control) return {};
  auto choices = drives_of(control->choices);
  return {std::move(control->name), std::move(control->label), std::move(choices)};
}

template <class T>
T named(const Dial<T>& dial, T wanted) {
  const auto value = dial.value();
  return value ? as_named(*value, wanted) : wanted;
}

template <class T>
std::string valueless(const Dial<T>& dial) {
  if (!dial.exists() || dial.value()) return {};
  return fmt::format("{} is \"{}\"", dial.name(), dial.label());
}

}  // namespace

Dials Dials::read(Session& session) {
  Dials dials;
  // Of two names for one setting the first is the exact one.
  auto shutter = session.first_of({"shutterspeed2", "shutterspeed"});
  if (shutter) dials.bulb_label_ = bulb_of(shutter->choices);
  dials.shutter_ = dial<exposure::Shutter>(std::move(shutter), shutter_of);
  dials.aperture_ = dial<exposure::FNumber>(session.first_of({"f-number", "aperture"}), f_number_of);
  dials.iso_ = dial<exposure::Iso>(session.first_of({"iso"}), iso_of);
  dials.drive_ = drive_dial(session.first_of({"drivemode", "capturemode"}));
  return dials;
}

template <class T>
Tried<void> Dials::send_one(Session& session, Dial<T>& dial, const std::optional<std::string>& label,
                            std::vector<Sent>& sent) {
  if (!label || *label == dial.label()) return {};
  auto done = session.set(dial.name(), *label);
  if (done) {
    dial.shows(*label);
    sent.push_back({dial.name(), *label});
  }
  return done;
}

std::optional<std::string> Dials::shutter_label(exposure::Shutter wanted) const {
  return bulb_wanted_ ? std::optional{bulb_label_} : shutter_.label_for(wanted);
}

Tried<void> Dials::send(Session& session, const rig::SettingsCall& wanted, std::vector<Sent>& sent) {
  const auto& [shutter, aperture, iso] = wanted.exposure;
  bulb_wanted_ = may_use_bulb_ && offers_bulb() && is_too_long(shutter, shutter_.choices());
  auto done = send_one(session, shutter_, shutter_label(shutter), sent);
  if (done && aperture) done = send_one(session, aperture_, aperture_.label_for(*aperture), sent);
  if (done) done = send_one(session, iso_, iso_.label_for(iso), sent);
  if (done) done = send_one(session, drive_, drive_.label_for(wanted.drive), sent);
  return done;
}

Tried<bool> Dials::shows(Session& session, const Sent& sent) {
  auto control = session.control(sent.name);
  if (!control) return tl::unexpected{control.error()};
  const auto take = [&](auto& dial) {
    if (dial.name() == sent.name) dial.shows(control->label);
  };
  take(shutter_);
  take(aperture_);
  take(iso_);
  take(drive_);
  return control->label == sent.label;
}

exposure::Exposure Dials::exposure(const exposure::Exposure& wanted) const {
  exposure::Exposure shown = wanted;
  shown.shutter = named(shutter_, wanted.shutter);
  if (wanted.aperture) shown.aperture = named(aperture_, *wanted.aperture);
  shown.iso = named(iso_, wanted.iso);
  return shown;
}

body::Drive Dials::drive() const {
  return drive_.value().value_or(body::Drive::single);
}

std::string Dials::no_value() const {
  for (auto words : {is_bulb_wanted() ? std::string{} : valueless(shutter_), valueless(iso_)}) {
    if (!words.empty()) return words;
  }
  return {};
}

}  // namespace noonfall::gphoto
