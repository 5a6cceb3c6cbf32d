#include "daemon/cameras/inspection_words.h"

#include <fmt/format.h>

#include "daemon/cameras/description_json.h"
#include "lib/order/order_json.h"

namespace noonfall::cameras {
namespace {

constexpr double most = 1e9;  // of what is small enough to reckon with
constexpr json::Whole count{-1'000'000'000, 1'000'000'000};
constexpr json::OrNull span_or_null{json::seconds};

std::optional<exposure::Iso> parse_iso_words(std::string_view text) {
  return exposure::parse_iso(text.starts_with("ISO ") ? text.substr(4) : text);
}

/// A value beside the body's words for it, or null.
template <class Enum>
auto said(Enum last) {
  return json::OrNull{json::Described{[last](auto& io, auto& it) {
    io("value", it.value, json::Words{last});
    io("words", it.words);
  }}};
}

/// The slot and what is in it; null where neither is told.
struct CardInSlot {
  static constexpr json::Described slot{[](auto& io, auto& told) {
    io("present", told.slot, json::TrueFor<body::CardSlot::holds_card, body::CardSlot::empty>{});
    if (told.slot == body::CardSlot::empty || !io.has("free_mb", told.card.has_value())) return;
    auto& card = json::made(told.card);
    io("free_mb", card.free.value, json::Number{-most, most});
    io("capacity_mb", card.capacity.value, json::Number{-most, most});
    io("read_only", card.read_only);
  }};

  [[nodiscard]] Json write(const body::Description& told) const {
    return told.slot || told.card ? slot.write(told) : Json(nullptr);
  }
  void read(const json::Found& found, body::Description& told) const {
    if (!found.value.is_null()) slot.read(found, told);
  }
};

void fields(auto& io, json::Like<body::Description> auto& it) {
  io("serial", it.serial);
  io("port", it.port);
  io("model", it.model);
  io("family", it.family);
  io("battery_percent", it.battery_percent, json::OrNull{count});
  io("card", it, CardInSlot{});
  io("saved_to", it.saved_to, json::OrNull{json::Words{body::SavedTo::memory}});
  io("mode", it.mode, said(body::ExposureMode::automatic));
  io("focus", it.focus, said(body::Focusing::by_itself));
  io("drive", it.drive, said(body::DriveMode::other));
  io("sets_drive", it.sets_drive);
  io("files", it.files, said(body::Files::raw_and_jpeg));
  io("live_view", it.live_view);
  io("mirror_lock_up", it.mirror_lock_up);
  io("noise_reduction", it.noise_reduction);
  io("meddling", it.meddling, json::List{json::Described{[](auto& list, auto& one) {
       list("value", one.value, json::Words{body::Meddling::compensation});
       list("words", one.words);
     }}});
  io("power_off_s", it.power_off, span_or_null);
  io("stays_awake", it.stays_awake);
  io("clock_offset_s", it.clock_offset, span_or_null);
  io("choices", it.choices, json::Described{[](auto& list, auto& choices) {
       list("shutters", choices.shutters);
       list("apertures", choices.apertures);
       list("isos", choices.isos, json::List{json::Spelled<parse_iso_words>{"\"ISO 400\""}});
     }});
  io("burst", it.offers_burst);
  io("why_no_release", it.why_no_release);
  io("why_no_times", it.why_no_times);
  io("tells_opening", it.opening, json::TrueFor<body::OpeningStamp::told, body::OpeningStamp::inferred>{});
}

void fields(auto& io, json::Like<Unopened> auto& it) {
  io("port", it.port);
  io("model", it.model);
  io("why", it.why);
  io("held", it.held);
}

void fields(auto& io, json::Like<measure::Extent> auto& it) {
  io("frames", it.frames, count);
  io("lasts_s", it.lasts, json::seconds);
}

void fields(auto& io, json::Like<InspectionProgress> auto& it) {
  io("part", it.part);
  io("done", it.done, count);
  io("of", it.of, count);
}

void fields(auto& io, json::Like<MeasuredProfile> auto& it) {
  io("frames", it.frames, count);
  io("yaml", it.yaml);
}

constexpr json::Described settings{[](auto& io, auto& call) {
  io("exposure", call.exposure, json::tuple);
  io("drive", call.drive, order::drives);
  if (io.has("bracket", !call.bracket.empty())) io("bracket", call.bracket);
}};

void fields(auto& io, json::Like<SettingsTrial> auto& it) {
  io("asked", it.asked, settings);
  io("choices", it.choices, json::List{json::Described{[](auto& one, auto& chosen) {
       one("asked", chosen.asked);
       one("choice", chosen.choice);
     }}});
  io("answer", it.answer, json::Words{rig::Answer::no_word});
  io("shown", it.shown, settings);
  io("took_s", it.took, json::seconds);
  io("why", it.why);
}

void fields(auto& io, json::Like<InspectionFailure> auto& it) {
  io("code", it.code);
  io("words", it.words);
  io("hint", it.hint);
}

constexpr json::Described line{[](auto& io, auto& what) {
  io("say", what,
     json::Alternative<7>{{"body", "unopened", "series", "progress", "profile", "tried", "trouble"}});
  std::visit([&](auto& one) { fields(io, one); }, what);
}};
constexpr json::Described members{[](auto& io, auto& it) { fields(io, it); }};

/// What the line says, or why it isn't one of ours.
template <class T>
Result<T> decode(std::string_view text, const auto& as) {
  const auto refuse = [](Diagnostics why) {
    why.front().message = "the camera process said something else: " + why.front().message;
    return why;
  };
  return json::read<T>(text, {.code = "camera-line"}, as).map_error(refuse);
}

}  // namespace

Json to_json(const body::Description& told) {
  return members.write(told);
}

Json to_json(const Unopened& unopened) {
  return members.write(unopened);
}

std::string encode(const Said& what) {
  return json::to_line(line.write(what));
}

Result<Said> decode_said(std::string_view text) {
  return decode<Said>(text, line);
}

std::string encode(const rig::SettingsCall& call) {
  return json::to_line(settings.write(call));
}

Result<rig::SettingsCall> decode_settings(std::string_view text) {
  return decode<rig::SettingsCall>(text, settings);
}

}  // namespace noonfall::cameras
