// What a camera process that inspects bodies says, line by line, and what it is told to try.
#pragma once

#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "daemon/cameras/body_source.h"
#include "lib/base/result.h"
#include "lib/body/description.h"
#include "lib/body/inspection.h"
#include "lib/measure/series.h"
#include "lib/rig/device.h"

namespace noonfall::cameras {

struct InspectionProgress {
  std::string part;
  int done = 0;
  int of = 0;
  bool operator==(const InspectionProgress&) const = default;
};

struct MeasuredProfile {
  int frames = 0;
  std::string yaml;
  bool operator==(const MeasuredProfile&) const = default;
};

/// One combination of settings, asked for and read back.
struct SettingsTrial {
  rig::SettingsCall asked;
  std::vector<body::Chosen> choices;
  rig::Answer answer = rig::Answer::ok;
  rig::SettingsCall shown;  // by the body, afterwards
  Duration took{};
  std::string why;
  bool operator==(const SettingsTrial&) const = default;

  [[nodiscard]] bool as_asked() const { return answer == rig::Answer::ok && shown == asked; }
};

struct InspectionFailure {
  std::string code;
  std::string words;
  std::string hint;
  bool operator==(const InspectionFailure&) const = default;
};

using Said = std::variant<body::Description, Unopened, measure::Extent, InspectionProgress, MeasuredProfile,
                          SettingsTrial, InspectionFailure>;

[[nodiscard]] std::string encode(const Said& said);  // a line with its '\n'
[[nodiscard]] Result<Said> decode_said(std::string_view line);

[[nodiscard]] std::string encode(const rig::SettingsCall& call);
[[nodiscard]] Result<rig::SettingsCall> decode_settings(std::string_view line);

}  // namespace noonfall::cameras
