#include "sim/body/read_effect.h"

#include <vector>

#include "lib/yaml/typed.h"

namespace noonfall::sim {
namespace {

using yaml::Choice;
using yaml::Field;
using yaml::MapReader;

const std::string a_setting =
    "one of shutter, aperture, iso, drive, or one value of it, like {shutter: 1/2000} or {drive: continuous}";

std::optional<Setting> read_setting(const Field& field) {
  constexpr Choice<Setting> settings[] = {{"shutter", Setting::shutter},
                                          {"aperture", Setting::aperture},
                                          {"iso", Setting::iso},
                                          {"drive", Setting::drive}};
  return yaml::read_choice(field, settings);
}

std::optional<body::Drive> read_drive(const Field& field) {
  constexpr Choice<body::Drive> drives[] = {{"single", body::Drive::single},
                                            {"continuous", body::Drive::continuous}};
  return yaml::read_choice(field, drives);
}

/// Exactly one of the four keys.
std::optional<SettingValue> read_setting_value(const Field& field) {
  MapReader map{field, "setting"};
  std::vector<SettingValue> values;
  const auto take = [&](const auto& value) {
    if (value) values.emplace_back(*value);
  };
  const auto before = field.findings().size();
  take(yaml::read_as(map.optional("shutter"), exposure::parse_shutter, "a shutter time like 1/2000 or 2 s"));
  take(yaml::read_as(map.optional("aperture"), exposure::parse_f_number, "an f-number like f/8"));
  take(yaml::read_as(map.optional("iso"), exposure::parse_iso, "an ISO value like 400"));
  take(read_drive(map.optional("drive")));
  map.finish();
  if (values.size() == 1) return values.front();
  if (field.findings().size() == before) {
    field.error("not-one-value", values.empty() ? "no value here" : "more than one value here", a_setting);
  }
  return std::nullopt;
}

std::optional<Effect> read_refused_setting(const Field& field) {
  if (field && !field.is_text() && !field.is_mapping()) {
    field.error("wrong-kind", std::string{kind_of(field.node())} + " here", a_setting);
    return std::nullopt;
  }
  if (field.is_text()) {
    const auto setting = read_setting(field);
    return setting ? std::optional<Effect>{RefusedSetting{*setting}} : std::nullopt;
  }
  const auto value = field ? read_setting_value(field) : std::nullopt;
  return value ? std::optional<Effect>{RefusedSetting{*value}} : std::nullopt;
}

std::optional<Effect> read_lost_frame(const Field& field) {
  constexpr Choice<LostFrame::Sign> signs[] = {{"unconfirmed", LostFrame::Sign::unconfirmed},
                                               {"no word", LostFrame::Sign::no_word}};
  const auto sign = field ? yaml::read_choice(field, signs) : LostFrame::Sign::unconfirmed;
  return sign ? std::optional<Effect>{LostFrame{*sign}} : std::nullopt;
}

std::optional<Effect> read_slow_card(const Field& field) {
  const auto percent =
      yaml::read_quantity(field, "%", {0.1, 100}, "what is left of the write rate, 0.1 % to 100 %");
  return percent ? std::optional<Effect>{SlowCard{*percent / 100}} : std::nullopt;
}

}  // namespace

std::optional<FaultKind> read_fault_kind(const Field& field) {
  constexpr Choice<FaultKind> kinds[] = {{"busy", FaultKind::busy},
                                         {"refused setting", FaultKind::refused_setting},
                                         {"lost frame", FaultKind::lost_frame},
                                         {"gone", FaultKind::gone},
                                         {"slow card", FaultKind::slow_card}};
  return yaml::read_choice(field, kinds);
}

bool countable(FaultKind kind) {
  return kind != FaultKind::gone && kind != FaultKind::slow_card;
}

std::optional<Effect> read_effect(FaultKind kind, MapReader& map) {
  switch (kind) {
    case FaultKind::busy:
      return BusyReleases{};
    case FaultKind::refused_setting:
      return read_refused_setting(map.required("setting"));
    case FaultKind::lost_frame:
      return read_lost_frame(map.optional("answer"));
    case FaultKind::gone:
      return BodyGone{};
    case FaultKind::slow_card:
      break;
  }
  return read_slow_card(map.required("rate"));
}

}  // namespace noonfall::sim
