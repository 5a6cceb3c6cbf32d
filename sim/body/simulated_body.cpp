#include "sim/body/simulated_body.h"

#include <algorithm>
#include <numeric>
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
constexpr Duration look_period = 30s;
constexpr Duration quick_answer = 5ms;
constexpr Duration drain_time = 30ms;
constexpr Duration reopen_time = 1500ms;
constexpr Duration port_timeout = 2s;  // the host's patience with a line on which nothing answers

/// As a body writes the time of an exposure at bulb: at least one, at most what a name may stand for.
exposure::Shutter in_milliseconds(Duration open) {
  const auto ms = std::clamp<std::int64_t>(open / 1ms, 1, 900'000);
  const auto common = std::gcd(ms, 1000);
  return {static_cast<std::int32_t>(ms / common), static_cast<std::int32_t>(1000 / common)};
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
      settings_(powered_on(profile_)),
      buffer_(profile_),
      card_free_{profile_.card.value - frame_size_.value * setup.taken_before},
      battery_frames_(profile_.battery_frames - setup.taken_before),
      taken_before_(setup.taken_before) {}

rig::Care SimulatedBody::look_after(Utc now, Utc /*until*/) {
  rig::Care care;
  const auto full = std::max(profile_.battery_frames, 1);
  care.levels = rig::Levels{std::clamp(100 * battery_frames_ / full, 0, 100),
                            static_cast<int>(std::max(card_free_.value, 0.0) / frame_size_.value)};
  care.again = now + look_period;
  return care;
}

DeviceAnswer SimulatedBody::answer(const rig::DeviceCall& call, Utc now) {
  if (std::holds_alternative<rig::ReopenCall>(call)) return reopen(now);
  if (off_line(now)) {
    // Back on the line it answers at once, but to a handle that is no longer good.
    const bool back = battery_frames_ > 0 && !faults_.gone(now);
    return gone(now + (back ? scaled(quick_answer, detune_) : port_timeout), now);
  }
  const auto given = answer_in_line(call, now);
  const auto went = faults_.goes(now, given.at);
  return went ? gone(*went + port_timeout, now) : given;
}

DeviceAnswer SimulatedBody::answer_in_line(const rig::DeviceCall& call, Utc now) {
  if (const auto* asked = std::get_if<rig::SettingsCall>(&call)) return set(*asked, now);
  if (const auto* asked = std::get_if<rig::ReleaseCall>(&call)) return release(*asked, now);
  return drain(now);
}

DeviceAnswer SimulatedBody::set(const rig::SettingsCall& call, Utc now) {
  if (now < occupied_until_) return soon(Answer::busy, now, "the frame before isn't done");
  DeviceAnswer answer;
  answer.at = now;
  // Each setting is sent by itself: the body may refuse one and take the others.
  const auto refuse = [&](std::string why) {
    answer.answer = Answer::refused;
    if (answer.why.empty()) answer.why = std::move(why);
  };
  const bool other_bracket = !call.bracket.empty() && call.bracket != bracket_;
  if (other_bracket && settings_.drive == Drive::bracket) answer.at += profile_.setting_times.drive;
  for (const auto& value : changes(profile_, settings_, {call.exposure, call.drive})) {
    if (!offers(profile_, value)) {
      answer.at += scaled(quick_answer, detune_);
      refuse(fmt::format("the body has no {}", to_text(value)));
      continue;
    }
    answer.at += time_between(profile_, settings_, settings_.with(value));
    if (faults_.refuses(value, now)) {
      refuse(fmt::format("the body refused {}", to_text(value)));
    } else {
      settings_ = settings_.with(value);
    }
  }
  if (settings_.drive == Drive::bracket) bracket_ = call.bracket;
  answer.exposure = settings_.exposure;
  answer.drive = settings_.drive;
  return answer;
}

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

DeviceAnswer SimulatedBody::release_bulb(const rig::ReleaseCall& call, Utc now, Utc closes) {
  bulb_closes_ = closes;
  auto given = answer(call, now);
  bulb_closes_.reset();
  return given;
}

DeviceAnswer SimulatedBody::release_bracket(const rig::ReleaseCall& call, Utc now,
                                            std::vector<exposure::Shutter> times) {
  const auto drive = std::exchange(settings_.drive, Drive::bracket);
  bracket_ = std::move(times);
  auto given = answer(call, now);
  settings_.drive = drive;
  return given;
}

std::string SimulatedBody::why_refused(const rig::ReleaseCall& call) const {
  if (call.frames.empty()) return "no frame was asked for";
  if (settings_.drive == Drive::single && call.frames.size() > 1) {
    return fmt::format("single drive takes one frame a release, {} were asked for", call.frames.size());
  }
  if (settings_.drive == Drive::bracket && call.frames.size() != bracket_.size())
    return fmt::format("a bracket of {} frames takes no {}", bracket_.size(), call.frames.size());
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
    const auto n = static_cast<std::size_t>(&id - call.frames.data());
    auto frame = expose(id, now, opening,
                        settings_.drive == Drive::bracket ? std::optional{bracket_[n]} : std::nullopt);
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

rig::TakenFrame SimulatedBody::expose(const order::FrameId& id, Utc released, Utc opening,
                                      std::optional<exposure::Shutter> of_bracket) {
  auto exposure = settings_.exposure;
  exposure.shutter = of_bracket.value_or(exposure.shutter);
  auto closed = opening + body::open_time(exposure.shutter);
  if (bulb_closes_) {
    closed = std::max(opening, *bulb_closes_);
    exposure.shutter = in_milliseconds(closed - opening);
  }
  auto files = file_names(taken_before_ + static_cast<int>(taken_.size()), files_);
  buffer_.add(card_clock_.card_time(closed), frame_size_);
  card_free_.value -= frame_size_.value;
  --battery_frames_;
  occupied_until_ = closed + profile_.readout;
  next_opening_ = opening + body::frame_interval(profile_, settings_.drive, exposure.shutter);
  taken_.push_back({id, released, opening, closed, exposure, settings_.drive, files});
  return {opening, closed, true, std::move(files)};
}

Utc SimulatedBody::written_by() const {
  return card_clock_.utc(buffer_.room_at(profile_.buffer));
}

void SimulatedBody::leave(body::Files files) {
  files_ = files;
  frame_size_ = body::frame_size(profile_, files);
}

DeviceAnswer SimulatedBody::drain(Utc now) const {
  DeviceAnswer answer;
  answer.at = std::max(now, occupied_until_) + scaled(drain_time, detune_);
  return answer;
}

DeviceAnswer SimulatedBody::reopen(Utc now) {
  const auto done = now + scaled(reopen_time, detune_);
  if (battery_frames_ <= 0 || faults_.gone(now) || faults_.goes(now, done)) return gone(done, now);
  settings_ = powered_on(profile_);
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
