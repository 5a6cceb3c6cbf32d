#include "daemon/worker/json_members.h"

#include <algorithm>

#include <fmt/format.h>

#include "lib/base/code_points.h"

namespace noonfall::worker {
namespace {

constexpr std::size_t most_words = 2000;
constexpr std::int64_t furthest_us = 250LL * 366 * 86'400 * 1'000'000;

[[noreturn]] void refuse(const char* name) {
  throw BadMember{fmt::format("\"{}\"", name)};
}

const Json& element(const Json& list, std::size_t count, std::size_t n, const char* name) {
  if (!list.is_array() || list.size() != count) refuse(name);
  return list[n];
}

}  // namespace

std::string dumped(const Json& line) {
  return line.dump(-1, ' ', false, Json::error_handler_t::replace) + '\n';
}

std::string clipped(const std::string& words) {
  if (words.size() <= most_words) return words;
  auto end = most_words;
  while (end > most_words - 4 && continues_code_point(words[end])) --end;
  return words.substr(0, end);
}

const Json& member(const Json& in, const char* name) {
  if (!in.is_object()) refuse(name);
  const auto found = in.find(name);
  if (found == in.end()) refuse(name);
  return *found;
}

std::int64_t integer(const Json& value, const char* name, std::int64_t least, std::int64_t most) {
  if (!value.is_number_integer()) refuse(name);
  if (value.is_number_unsigned() &&
      value.get<std::uint64_t>() > static_cast<std::uint64_t>(std::numeric_limits<std::int64_t>::max())) {
    refuse(name);
  }
  const auto number = value.get<std::int64_t>();
  if (number < least || number > most) refuse(name);
  return number;
}

std::string text(const Json& value, const char* name) {
  if (!value.is_string()) refuse(name);
  return value.get<std::string>();
}

bool flag(const Json& value, const char* name) {
  if (!value.is_boolean()) refuse(name);
  return value.get<bool>();
}

std::int32_t whole_number(const Json& value, const char* name) {
  using Limits = std::numeric_limits<std::int32_t>;
  return static_cast<std::int32_t>(integer(value, name, Limits::min(), Limits::max()));
}

Utc instant(const Json& value, const char* name) {
  return Utc{Duration{integer(value, name, -furthest_us, furthest_us)}};
}

BootTime boot_instant(const Json& value, const char* name) {
  return BootTime{BootClock::duration{integer(value, name, -furthest_us, furthest_us)}};
}

std::int64_t us(Duration span) {
  return std::clamp<std::int64_t>(span.count(), -furthest_us, furthest_us);
}

Json to_json(const order::FrameId& id) {
  return Json::array({id.rig, id.step, id.set, id.frame});
}

order::FrameId frame_id(const Json& value) {
  const auto part = [&](std::size_t n) { return whole_number(element(value, 4, n, "frame"), "frame"); };
  return {part(0), part(1), part(2), part(3)};
}

Json to_json(const exposure::Exposure& exposure) {
  auto aperture = exposure.aperture ? Json(exposure::to_text(*exposure.aperture)) : Json(nullptr);
  return Json::array({exposure::to_text(exposure.shutter), std::move(aperture), exposure.iso.value});
}

exposure::Exposure get_exposure(const Json& value) {
  const char* name = "exposure";
  const auto shutter = exposure::parse_shutter(text(element(value, 3, 0, name), name));
  const auto& aperture_word = element(value, 3, 1, name);
  const auto iso = exposure::parse_iso(std::to_string(integer(element(value, 3, 2, name), name)));
  if (!shutter || !iso) refuse(name);
  exposure::Exposure exposure{*shutter, std::nullopt, *iso};
  if (aperture_word.is_null()) return exposure;
  exposure.aperture = exposure::parse_f_number(text(aperture_word, name));
  if (!exposure.aperture) refuse(name);
  return exposure;
}

body::Drive get_drive(const Json& value) {
  const auto word = text(value, "drive");
  for (const auto drive : {body::Drive::single, body::Drive::continuous}) {
    if (word == body::to_text(drive)) return drive;
  }
  refuse("drive");
}

}  // namespace noonfall::worker
