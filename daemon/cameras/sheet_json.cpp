#include "daemon/cameras/sheet_json.h"

#include <stdexcept>
#include <string>
#include <utility>

#include "lib/body/profile_text.h"

namespace noonfall::cameras {
namespace {

using body::BodySheet;

template <class T>
Json or_null(const std::optional<T>& value) {
  return value ? Json(*value) : Json(nullptr);
}

template <class T>
Json said(const std::optional<body::Said<T>>& value) {
  if (!value) return nullptr;
  return {{"value", to_text(value->value)}, {"words", value->words}};
}

Json seconds(const std::optional<Duration>& span) {
  return span ? Json(in_seconds(*span)) : Json(nullptr);
}

Json card_json(const BodySheet& sheet) {
  if (sheet.slot == body::CardSlot::empty) return {{"present", false}};
  if (!sheet.card) return sheet.slot ? Json{{"present", true}} : Json(nullptr);
  return {{"present", true},
          {"free_mb", sheet.card->free.value},
          {"capacity_mb", sheet.card->capacity.value},
          {"read_only", sheet.card->read_only}};
}

template <class T>
Json texts(const std::vector<T>& values) {
  auto list = Json::array();
  for (const auto& value : values) list.push_back(to_text(value));
  return list;
}

/// The value whose word it is, of an enum counted from 0.
template <class T>
T value_of(const std::string& word, int count) {
  for (int n = 0; n < count; ++n) {
    if (to_text(static_cast<T>(n)) == word) return static_cast<T>(n);
  }
  throw std::runtime_error{"\"" + word + "\" isn't expected here"};
}

template <class T>
std::optional<body::Said<T>> read_said(const Json& json, int count) {
  if (json.is_null()) return std::nullopt;
  return body::Said<T>{value_of<T>(json.at("value").get<std::string>(), count),
                       json.at("words").get<std::string>()};
}

template <class T>
std::optional<T> read_optional(const Json& json) {
  if (json.is_null()) return std::nullopt;
  return json.get<T>();
}

std::optional<Duration> read_span(const Json& json) {
  if (json.is_null()) return std::nullopt;
  return span_of(json);
}

std::optional<int> read_whole(const Json& json) {
  if (json.is_null()) return std::nullopt;
  return whole_of(json);
}

template <class T>
std::vector<T> read_texts(const Json& json, std::optional<T> (*parse)(std::string_view)) {
  std::vector<T> list;
  for (const auto& item : json) list.push_back(parse(item.get<std::string>()).value());
  return list;
}

std::optional<exposure::Iso> parse_iso_words(std::string_view text) {
  return exposure::parse_iso(text.starts_with("ISO ") ? text.substr(4) : text);
}

void read_card(const Json& json, BodySheet& sheet) {
  if (json.is_null()) return;
  const bool present = json.at("present").get<bool>();
  sheet.slot = present ? body::CardSlot::holds_card : body::CardSlot::empty;
  if (!json.contains("free_mb")) return;
  sheet.card = body::Card{
      {number_of(json.at("free_mb"))}, {number_of(json.at("capacity_mb"))}, json.at("read_only").get<bool>()};
}

Json choices_json(const body::Choices& choices) {
  return {{"shutters", texts(choices.shutters)},
          {"apertures", texts(choices.apertures)},
          {"isos", texts(choices.isos)}};
}

body::Choices read_choices(const Json& json) {
  return {read_texts(json.at("shutters"), exposure::parse_shutter),
          read_texts(json.at("apertures"), exposure::parse_f_number),
          read_texts(json.at("isos"), parse_iso_words)};
}

constexpr double most = 1e9;

}  // namespace

int whole_of(const Json& json) {
  if (!json.is_number_integer()) throw std::runtime_error{"a whole number is expected here"};
  return static_cast<int>(number_of(json));
}

double number_of(const Json& json) {
  if (!json.is_number()) throw std::runtime_error{"a number is expected here"};
  const auto number = json.get<double>();
  if (!(number >= -most && number <= most)) throw std::runtime_error{"a number is out of range"};
  return number;
}

Duration span_of(const Json& json) {
  return from_seconds(number_of(json));
}

Json to_json(const BodySheet& sheet) {
  const auto saved_to = sheet.saved_to ? Json(to_text(*sheet.saved_to)) : Json(nullptr);
  return {{"serial", sheet.serial},
          {"port", sheet.port},
          {"model", sheet.model},
          {"family", sheet.family},
          {"battery_percent", or_null(sheet.battery_percent)},
          {"card", card_json(sheet)},
          {"saved_to", saved_to},
          {"mode", said(sheet.mode)},
          {"focus", said(sheet.focus)},
          {"drive", said(sheet.drive)},
          {"files", said(sheet.files)},
          {"live_view", or_null(sheet.live_view)},
          {"mirror_lock_up", or_null(sheet.mirror_lock_up)},
          {"noise_reduction", or_null(sheet.noise_reduction)},
          {"power_off_s", seconds(sheet.power_off)},
          {"clock_offset_s", seconds(sheet.clock_offset)},
          {"choices", choices_json(sheet.choices)},
          {"burst", sheet.offers_burst},
          {"tells_opening", sheet.opening == body::OpeningStamp::told}};
}

Json to_json(const Unopened& unopened) {
  return {{"port", unopened.port}, {"model", unopened.model}, {"why", unopened.why}, {"held", unopened.held}};
}

BodySheet sheet_of(const Json& json) {
  BodySheet sheet;
  sheet.serial = json.at("serial").get<std::string>();
  sheet.port = json.at("port").get<std::string>();
  sheet.model = json.at("model").get<std::string>();
  sheet.family = json.at("family").get<std::string>();
  sheet.battery_percent = read_whole(json.at("battery_percent"));
  read_card(json.at("card"), sheet);
  if (const auto place = read_optional<std::string>(json.at("saved_to")))
    sheet.saved_to = value_of<body::SavedTo>(*place, 2);
  sheet.mode = read_said<body::ExposureMode>(json.at("mode"), 3);
  sheet.focus = read_said<body::Focusing>(json.at("focus"), 2);
  sheet.drive = read_said<body::DriveMode>(json.at("drive"), 3);
  sheet.files = read_said<body::Files>(json.at("files"), 3);
  sheet.live_view = read_optional<bool>(json.at("live_view"));
  sheet.mirror_lock_up = read_optional<bool>(json.at("mirror_lock_up"));
  sheet.noise_reduction = read_optional<bool>(json.at("noise_reduction"));
  sheet.power_off = read_span(json.at("power_off_s"));
  sheet.clock_offset = read_span(json.at("clock_offset_s"));
  sheet.choices = read_choices(json.at("choices"));
  sheet.offers_burst = json.at("burst").get<bool>();
  sheet.opening =
      json.at("tells_opening").get<bool>() ? body::OpeningStamp::told : body::OpeningStamp::inferred;
  return sheet;
}

Unopened unopened_of(const Json& json) {
  return {json.at("port").get<std::string>(), json.at("model").get<std::string>(),
          json.at("why").get<std::string>(), json.at("held").get<bool>()};
}

}  // namespace noonfall::cameras
