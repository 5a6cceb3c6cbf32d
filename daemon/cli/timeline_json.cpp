#include "daemon/cli/timeline_json.h"

#include <algorithm>
#include <vector>

#include <nlohmann/json.hpp>

#include "lib/contacts/sky_track.h"
#include "lib/exposure/exposure.h"
#include "lib/json/json.h"

namespace noonfall::cli {
namespace {

using nlohmann::ordered_json;
using timeline::CueKind;
using timeline::RigStep;
using timeline::RigTimeline;
using timeline::Timeline;

struct Entry {
  Utc at;
  ordered_json json;
};

ordered_json finding_json(const Diagnostic& finding) {
  return {{"code", finding.code},          {"file", finding.file},       {"line", finding.mark.line},
          {"column", finding.mark.column}, {"message", finding.message}, {"hint", finding.hint}};
}

ordered_json findings_json(const Diagnostics& findings, Severity severity) {
  auto array = ordered_json::array();
  for (const auto& finding : findings)
    if (finding.severity == severity) array.push_back(finding_json(finding));
  return array;
}

ordered_json exposures_json(const std::vector<exposure::Exposure>& exposures) {
  auto array = ordered_json::array();
  for (const auto& exposure : exposures) array.push_back(exposure::to_text(exposure));
  return array;
}

std::string_view word(CueKind kind) {
  switch (kind) {
    case CueKind::spoken:
      return "spoken";
    case CueKind::filter_off:
      return "filter off";
    case CueKind::filter_on:
      return "filter on";
    case CueKind::hands_on:
      return "hands on";
    case CueKind::eyes:
      return "eyes";
    case CueKind::hands_off:
      return "hands off";
  }
  return "";
}

ordered_json step_json(const char* kind, Utc at, const RigTimeline& rig, const RigStep& step) {
  return {{"kind", kind},
          {"utc", to_text(at)},
          {"rig", rig.name},
          {"step", step.name},
          {"line", step.mark.line},
          {"subject", exposure::to_text(step.subject)},
          {"filter", !rig.has_filter ? "none"
                     : step.filtered ? "on"
                                     : "off"},
          {"drive", body::to_text(step.drive)}};
}

void add_sets(const RigTimeline& rig, const RigStep& step, std::vector<Entry>& entries) {
  for (const auto& target : step.targets) {
    auto json = step_json("set", target.due, rig, step);
    json["until_utc"] = to_text(target.due + step.shapes[target.shape].lasts);
    json["patience_s"] = in_seconds(step.patience);
    json["exposures"] = exposures_json(step.shapes[target.shape].exposures);
    entries.push_back({target.due, std::move(json)});
  }
}

void add_back_to_back(const RigTimeline& rig, const RigStep& step, std::vector<Entry>& entries) {
  auto json = step_json("back_to_back", step.from, rig, step);
  json["until_utc"] = to_text(step.until);
  json["predicted_sets"] = step.predicted_sets;
  auto sets = ordered_json::array();
  for (const auto& shape : step.shapes) sets.push_back(exposures_json(shape.exposures));
  json["sets"] = std::move(sets);
  entries.push_back({step.from, std::move(json)});
}

void add_rig(const RigTimeline& rig, std::vector<Entry>& entries) {
  for (const auto& step : rig.steps)
    step.back_to_back ? add_back_to_back(rig, step, entries) : add_sets(rig, step, entries);
  if (!rig.window) return;
  entries.push_back({rig.window->opens,
                     {{"kind", "filter_window"},
                      {"utc", to_text(rig.window->opens)},
                      {"rig", rig.name},
                      {"usable_from_utc", to_text(rig.window->usable_from)},
                      {"usable_until_utc", to_text(rig.window->usable_until)},
                      {"closes_utc", to_text(rig.window->closes)}}});
}

ordered_json timeline_json(const Timeline& timeline) {
  std::vector<Entry> entries;
  for (const auto& rig : timeline.rigs) add_rig(rig, entries);
  for (const auto& span : timeline.hands_on) {
    entries.push_back({span.from,
                       {{"kind", "hands_on"},
                        {"utc", to_text(span.from)},
                        {"until_utc", to_text(span.until)},
                        {"rig", timeline.rigs[span.rig].name},
                        {"step", span.name}}});
  }
  for (const auto& cue : timeline.cues) {
    entries.push_back(
        {cue.ends,
         {{"kind", "cue"}, {"utc", to_text(cue.ends)}, {"cue", word(cue.kind)}, {"words", cue.words}}});
  }
  std::stable_sort(entries.begin(), entries.end(),
                   [](const Entry& a, const Entry& b) { return a.at < b.at; });
  auto array = ordered_json::array();
  for (auto& entry : entries) array.push_back(std::move(entry.json));
  for (const auto& skipped : timeline.skipped) {
    array.push_back(
        {{"kind", "skipped"}, {"rig", skipped.rig}, {"step", skipped.step}, {"why", skipped.why}});
  }
  return array;
}

ordered_json corona_json(const Timeline& timeline) {
  auto rigs = ordered_json::object();
  for (const auto& rig : timeline.rigs) {
    if (!rig.corona) continue;
    auto& heights = rigs[rig.name] = ordered_json::array();
    for (std::size_t n = 0; n < rig.corona->planned.size(); ++n) {
      heights.push_back({{"radii", rig.corona->planned[n].radii},
                         {"planned", rig.corona->planned[n].to_noise},
                         {"equal_steps", rig.corona->equal_steps[n].to_noise}});
    }
  }
  return rigs;
}

ordered_json place_json(const timeline::FramePlace& place) {
  return {{"right", place.right}, {"up", place.up}};
}

ordered_json aiming_json(const Timeline& timeline, const timeline::Aiming& aiming) {
  return {{"span", aiming.span ? ordered_json(timeline.hands_on[*aiming.span].name) : ordered_json(nullptr)},
          {"hands_off_utc", to_text(aiming.until)},
          {"centred_utc", to_text(aiming.centred)},
          {"altitude_deg", aiming.pointing.altitude.value},
          {"azimuth_deg", aiming.pointing.azimuth.value},
          {"sun_then", place_json(aiming.sun_at_end)},
          {"in_frame_from_utc", to_text(aiming.stays.from)},
          {"in_frame_until_utc", to_text(aiming.stays.until)}};
}

/// Places are from the middle of the frame, in frame widths and heights.
ordered_json framing_json(const Timeline& timeline) {
  auto rigs = ordered_json::object();
  for (const auto& rig : timeline.rigs) {
    if (!rig.framing) continue;
    auto aimings = ordered_json::array();
    for (const auto& aiming : rig.framing->aimings) aimings.push_back(aiming_json(timeline, aiming));
    auto passages = ordered_json::array();
    for (const auto& step : rig.steps) {
      if (!step.passage) continue;
      passages.push_back({{"step", step.name},
                          {"first", place_json(step.passage->first)},
                          {"last", place_json(step.passage->last)},
                          {"farthest", place_json(step.passage->farthest)},
                          {"farthest_utc", to_text(step.passage->farthest_at)},
                          {"room_solar_radii", step.passage->room}});
    }
    rigs[rig.name] = {{"field_deg", {rig.framing->width.value, rig.framing->height.value}},
                      {"sun_mm", rig.framing->sun.value},
                      {"sun_pixels", rig.framing->sun_pixels},
                      {"corona_radii", rig.framing->corona_radii},
                      {"aimings", std::move(aimings)},
                      {"passages", std::move(passages)}};
  }
  return rigs;
}

ordered_json unless_none(const std::optional<Utc>& at) {
  return at ? ordered_json(to_text(*at)) : ordered_json(nullptr);
}

ordered_json daylight_json(const Timeline& timeline) {
  const auto level = contacts::rise_and_set(timeline.circumstances);
  const auto hill = timeline.horizon.value == 0
                        ? level
                        : contacts::rise_and_set_over(timeline.circumstances, timeline.horizon);
  return {{"sunrise_utc", unless_none(level.rises)},
          {"sunset_utc", unless_none(level.sets)},
          {"horizon_deg", timeline.horizon.value},
          {"over_horizon_utc", unless_none(hill.rises)},
          {"behind_horizon_utc", unless_none(hill.sets)}};
}

}  // namespace

std::string check_json(const load::LoadedPlan& loaded) {
  const ordered_json json{
      {"errors", findings_json(loaded.findings, Severity::error)},
      {"warnings", findings_json(loaded.findings, Severity::warning)},
      {"limb", contacts::to_text(loaded.basis.limb)},
      {"frames", loaded.timeline ? loaded.timeline->predicted_frames() : 0},
      {"signal_to_noise", loaded.timeline ? corona_json(*loaded.timeline) : ordered_json::object()},
      {"daylight", loaded.timeline ? daylight_json(*loaded.timeline) : ordered_json::object()},
      {"framing", loaded.timeline ? framing_json(*loaded.timeline) : ordered_json::object()},
      {"timeline", loaded.timeline ? timeline_json(*loaded.timeline) : ordered_json::array()}};
  return json::to_indented(json);
}

}  // namespace noonfall::cli
