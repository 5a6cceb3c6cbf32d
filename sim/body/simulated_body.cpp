#include "sim/body/simulated_body.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "lib/body/model.h"
#include "sim/body/detune.h"
#include "sim/body/file_names.h"
#include "sim/body/release_luck.h"

namespace noonfall::sim {
namespace {

using namespace std::chrono_literals;
using body::Drive;
using rig::Answer;
using rig::DeviceAnswer;

// Round figures of tethered bodies (common practice, no source).
constexpr Duration quick_answer = 5ms;
constexpr Duration drain_time = 30ms;
constexpr Duration reopen_time = 1500ms;
constexpr Duration port_timeout = 2s;  // the host's patience with a line on which nothing answers

template <class... F>
struct Match : F... {
  using F::operator()...;
};
template <class... F>
Match(F...) -> Match<F...>;

std::string named(const SettingValue& value) {
  return std::visit(Match{[](const auto& of_exposure) { return to_text(of_exposure); },
                          [](Drive drive) -> std::string {
                            return drive == Drive::single ? "single drive" : "continuous drive";
                          }},
                    value);
}

}  // namespace

SimulatedBody::SimulatedBody(BodySetup setup)
    : profile_(detuned(std::move(setup.profile), setup.detune)),
      frame_size_(body::frame_size(profile_, setup.files)),
      files_(setup.files),
      seed_(setup.seed),
      detune_(setup.detune),
      faults_(setup.faults),
      card_clock_(setup.faults),
      settings_(powered_on()),
      buffer_(profile_),
      card_free_(profile_.card),
      battery_frames_(profile_.battery_frames) {}

DeviceAnswer SimulatedBody::answer(const rig::DeviceCall& call, Utc now) {
  if (std::holds_alternative<rig::ReopenCall>(call)) return reopen(now);
  if (off_line(now)) {
    const bool back =
        battery_frames_ > 0 && !faults_.gone(now);  // on the line, by a handle that is no longer good
    return gone(now + (back ? scaled(quick_answer, detune_) : port_timeout), now);
  }
  const auto given = std::visit(Match{[&](const rig::SettingsCall& asked) { return set(asked, now); },
                                      [&](const rig::ReleaseCall& asked) { return release(asked, now); },
                                      [&](const auto&) { return drain(now); }},
                                call);
  const auto went = faults_.goes(now, given.at);
  return went ? gone(*went + port_timeout, now) : given;
}

// Settings

SimulatedBody::Settings SimulatedBody::powered_on() const {
  const auto& choices = profile_.choices;
  Settings settings;
  if (!choices.shutters.empty()) settings.exposure.shutter = choices.shutters.front();
  if (!choices.isos.empty()) settings.exposure.iso = choices.isos.front();
  return settings;
}

DeviceAnswer SimulatedBody::set(const rig::SettingsCall& call, Utc now) {
  if (now < occupied_until_) return soon(Answer::busy, now, "the frame before isn't done");
  DeviceAnswer answer;
  answer.at = now;
  for (const auto& value : changes(call)) {
    const auto wanted = with(value);
    if (!offers(value)) {
      answer = soon(Answer::refused, answer.at, fmt::format("the body has no {}", named(value)));
      break;
    }
    answer.at += time_to(wanted);
    if (faults_.refuses(value, now)) {
      answer.answer = Answer::refused;
      answer.why = fmt::format("the body refused {}", named(value));
      break;
    }
    settings_ = wanted;
  }
  answer.exposure = settings_.exposure;
  return answer;
}

SimulatedBody::Settings SimulatedBody::with(const SettingValue& value) const {
  auto settings = settings_;
  std::visit(Match{[&](exposure::Shutter shutter) { settings.exposure.shutter = shutter; },
                   [&](exposure::FNumber aperture) { settings.exposure.aperture = aperture; },
                   [&](exposure::Iso iso) { settings.exposure.iso = iso; },
                   [&](Drive drive) { settings.drive = drive; }},
             value);
  return settings;
}

/// What has to be sent, in the order sent. An aperture is nothing to a body that can't set one.
std::vector<SettingValue> SimulatedBody::changes(const rig::SettingsCall& call) const {
  std::vector<SettingValue> values;
  const auto& [shutter, aperture, iso] = call.exposure;
  const auto& present = settings_.exposure;
  const bool sets_aperture = aperture && !profile_.choices.apertures.empty();
  if (shutter != present.shutter) values.emplace_back(shutter);
  if (sets_aperture && aperture != present.aperture) values.emplace_back(*aperture);
  if (iso != present.iso) values.emplace_back(iso);
  if (call.drive != settings_.drive) values.emplace_back(call.drive);
  return values;
}

bool SimulatedBody::offers(const SettingValue& value) const {
  const auto in = [](const auto& choices, const auto& wanted) {
    return std::ranges::count(choices, wanted) > 0;
  };
  const auto& choices = profile_.choices;
  return std::visit(
      Match{[&](exposure::Shutter shutter) { return in(choices.shutters, shutter); },
            [&](exposure::FNumber aperture) { return in(choices.apertures, aperture); },
            [&](exposure::Iso iso) { return in(choices.isos, iso); },
            [&](Drive drive) { return drive == Drive::single || !profile_.continuous.empty(); }},
      value);
}

Duration SimulatedBody::time_to(const Settings& wanted) const {
  return body::setting_time(profile_, &settings_.exposure, wanted.exposure) +
         body::drive_change_time(profile_, settings_.drive, wanted.drive);
}

// Release

DeviceAnswer SimulatedBody::release(const rig::ReleaseCall& call, Utc now) {
  DeviceAnswer answer;
  if (auto why = why_refused(call); !why.empty()) {
    answer = soon(Answer::refused, now, std::move(why));
  } else {
    const auto opening = now + lag_of(profile_.release, seed_, call.frames.front());
    why = why_busy(now, opening);
    answer = why.empty() ? take(call, now, opening) : soon(Answer::busy, now, std::move(why));
  }
  answer.released = now;
  return answer;
}

std::string SimulatedBody::why_refused(const rig::ReleaseCall& call) const {
  if (call.frames.empty()) return "no frame was asked for";
  if (settings_.drive == Drive::single && call.frames.size() > 1) {
    return fmt::format("single drive takes one frame a release, {} were asked for", call.frames.size());
  }
  if (card_full()) return "card full";
  return {};
}

std::string SimulatedBody::why_busy(Utc now, Utc opening) {
  if (faults_.busy(now)) return "the body is busy";
  if (now < occupied_until_) return "the frame before isn't done";
  if (opening < next_opening_) return "the shutter isn't ready for the next frame";
  if (with_room(opening) > opening) return "the buffer is full";
  return {};
}

bool SimulatedBody::card_full() const {
  return card_free_ < frame_size_;
}

/// `opening`, or when the buffer has room if that is later.
Utc SimulatedBody::with_room(Utc opening) const {
  if (buffer_.room_for(1, frame_size_, card_clock_.card_time(opening))) return opening;
  return std::max(opening, card_clock_.utc(buffer_.room_at(frame_size_)));
}

/// The shutter opens from `opening` on; a body that goes off the line opens it no more.
DeviceAnswer SimulatedBody::take(const rig::ReleaseCall& call, Utc now, Utc opening) {
  const auto last_opening = settings_.drive == Drive::continuous ? call.stop_by : Utc::max();
  DeviceAnswer answer;
  answer.at = std::max(now, std::min(opening, last_opening)) + scaled(quick_answer, detune_);
  bool no_word = false;
  for (const auto& id : call.frames) {
    opening = with_room(opening);
    if (opening > last_opening || card_full() || battery_frames_ <= 0) break;
    if (faults_.goes(now, opening)) {
      answer.at = std::max(answer.at, opening);
      break;
    }
    auto frame = expose(id, now, opening);
    const auto lost = faults_.loses(opening);
    no_word = no_word || lost == LostFrame::Sign::no_word;
    if (lost) {
      frame.confirmed = false;
      frame.files.clear();
    }
    answer.frames.push_back(std::move(frame));
    answer.at = occupied_until_;
    opening = next_opening_;
  }
  if (no_word) {
    answer.answer = Answer::no_word;
    answer.at += port_timeout;
    answer.frames.clear();
    answer.why = "the release wasn't answered";
  }
  return answer;
}

rig::TakenFrame SimulatedBody::expose(const order::FrameId& id, Utc released, Utc opening) {
  const auto shutter = settings_.exposure.shutter;
  const auto closed = opening + body::open_time(shutter);
  auto files = file_names(static_cast<int>(taken_.size()), files_);
  buffer_.add(card_clock_.card_time(closed), frame_size_);
  card_free_.value -= frame_size_.value;
  --battery_frames_;
  occupied_until_ = closed + profile_.readout;
  next_opening_ = opening + body::frame_interval(profile_, settings_.drive, shutter);
  taken_.push_back({id, released, opening, closed, settings_.exposure, settings_.drive, files});
  return {opening, closed, true, std::move(files)};
}

// The line

DeviceAnswer SimulatedBody::drain(Utc now) const {
  DeviceAnswer answer;
  answer.at = std::max(now, occupied_until_) + scaled(drain_time, detune_);
  return answer;
}

DeviceAnswer SimulatedBody::reopen(Utc now) {
  const auto done = now + scaled(reopen_time, detune_);
  if (battery_frames_ <= 0 || faults_.gone(now) || faults_.goes(now, done)) return gone(done, now);
  settings_ = powered_on();
  line_open_since_ = done;
  DeviceAnswer answer;
  answer.at = done;
  return answer;
}

DeviceAnswer SimulatedBody::soon(Answer kind, Utc now, std::string why) const {
  DeviceAnswer answer;
  answer.answer = kind;
  answer.at = now + scaled(quick_answer, detune_);
  answer.why = std::move(why);
  return answer;
}

DeviceAnswer SimulatedBody::gone(Utc at, Utc called) const {
  DeviceAnswer answer;
  answer.answer = Answer::gone;
  answer.at = at;
  answer.released = called;
  answer.why = battery_frames_ > 0 ? "the body is off the line" : "the battery is empty";
  return answer;
}

bool SimulatedBody::off_line(Utc now) const {
  return battery_frames_ <= 0 || faults_.goes(line_open_since_, now);
}

}  // namespace noonfall::sim
