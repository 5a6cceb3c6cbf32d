#include "lib/plan/parse_parts.h"

#include <algorithm>

#include <fmt/format.h>

#include "lib/yaml/typed.h"

namespace noonfall::plan {
namespace {

constexpr const char* wanted_body = "{simulate: PROFILE}, {serial: \"NUMBER\", profile: PROFILE}, or by hand";
constexpr const char* wanted_filter = "the filter, like {density: 5.0}, or none";

constexpr yaml::Choice<Mount> mounts[] = {{"fixed", Mount::fixed}, {"tracking", Mount::tracking}};
constexpr yaml::Choice<body::Files> file_kinds[] = {
    {"raw", body::Files::raw}, {"jpeg", body::Files::jpeg}, {"raw+jpeg", body::Files::raw_and_jpeg}};
constexpr yaml::Choice<bool> sun_in_frame_words[] = {{"never", false}};

/// A profile's name is part of a file's name.
std::string read_profile(const yaml::Field& field) {
  const auto name = read_name(field);
  if (!name) return {};
  const bool plain = std::all_of(name->begin(), name->end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-';
  });
  if (plain) return *name;
  field.error("bad-name", fmt::format("\"{}\" can't be a body profile", *name),
              "letters a to z, digits and \"-\"");
  return {};
}

std::variant<SimulatedBody, CabledBody, ByHand> read_body(const yaml::Field& field) {
  if (!field) return ByHand{};
  if (!field.is_mapping()) {
    const auto word = yaml::read_text(field, wanted_body);
    if (word && *word != "by hand") yaml::refuse_text(field, *word, wanted_body);
    return ByHand{};
  }
  yaml::MapReader map{field, "a body"};
  if (map.has("simulate")) {
    SimulatedBody simulated{read_profile(map.optional("simulate"))};
    map.finish();
    return simulated;
  }
  if (!map.has("serial") && !map.has("profile")) {
    field.error("missing-key", "neither a simulated body nor a serial number", wanted_body);
    for (const auto key : {"simulate", "serial", "profile", "spare"}) map.also_known(key);
    map.finish();
    return ByHand{};
  }
  CabledBody cabled{read_name(map.required("serial")).value_or(""), read_profile(map.required("profile"))};
  if (const auto spare = map.optional("spare")) cabled.spare = read_name(spare).value_or("");
  map.also_known("simulate");
  map.finish();
  return cabled;
}

Millimetres read_lens(const yaml::Field& field) {
  if (!field) return {};
  yaml::MapReader map{field, "a lens"};
  const auto focal_length = yaml::read_quantity(map.required("focal_length"), "mm", {1, 5000},
                                                "a length from 1 to 5000 mm, like 600 mm");
  map.finish();
  return {focal_length.value_or(0)};
}

std::optional<Sensor> read_sensor(const yaml::Field& field) {
  if (!field) return std::nullopt;
  constexpr yaml::Range side_mm{1, 200};
  constexpr const char* wanted_side = "a length from 1 to 200 mm, like 35.9 mm";
  yaml::MapReader map{field, "a sensor"};
  const auto width = yaml::read_quantity(map.required("width"), "mm", side_mm, wanted_side);
  const auto height = yaml::read_quantity(map.required("height"), "mm", side_mm, wanted_side);
  const auto pixel = yaml::read_quantity(map.required("pixel"), "um", {0.5, 50},
                                         "a pixel pitch from 0.5 to 50 um, like 5.9 um");
  map.finish();
  return Sensor{{width.value_or(0)}, {height.value_or(0)}, {pixel.value_or(0)}};
}

std::optional<Filter> read_filter_or_none(const yaml::Field& field) {
  if (!field) return std::nullopt;
  if (field.is_mapping()) return read_filter(field);
  const auto word = yaml::read_text(field, wanted_filter);
  if (word && *word != "none") yaml::refuse_text(field, *word, wanted_filter);
  return std::nullopt;
}

}  // namespace

Rig read_rig(const yaml::Entry& entry, Diagnostics& findings) {
  Rig rig;
  rig.name = entry.key;
  rig.mark = entry.key_mark;
  check_name(rig.name, rig.mark, findings);
  check_spoken_name("camera filter on", rig.name, rig.mark, findings);
  if (rig.name == "all") {
    findings.push_back(
        error_at(rig.mark, "bad-name", "a rig named \"all\", which stands for every rig", "another name"));
  }
  yaml::MapReader map{entry.value, fmt::format("rig \"{}\"", rig.name), findings};
  const auto body = map.required("body");
  rig.body = read_body(body);
  rig.body_mark = body.mark();
  rig.focal_length = read_lens(map.required("lens"));
  rig.sensor = read_sensor(map.optional("sensor"));
  rig.mount = yaml::read_choice(map.optional("mount"), mounts).value_or(Mount::fixed);
  rig.exposure = read_exposure(map.optional("exposure"));
  rig.files = yaml::read_choice(map.optional("files"), file_kinds).value_or(body::Files::raw);
  const auto filter = map.required("filter");
  rig.filter = read_filter_or_none(filter);
  rig.filter_mark = filter.mark();
  rig.sun_in_frame = yaml::read_choice(map.optional("sun_in_frame"), sun_in_frame_words).value_or(true);
  const auto person = map.optional("person");
  if (auto name = read_name(person)) {
    rig.person = std::move(*name);
    check_spoken_name("", rig.person, person.mark(), findings);
  }
  map.finish();
  return rig;
}

}  // namespace noonfall::plan
