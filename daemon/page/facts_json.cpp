#include "daemon/page/facts_json.h"

#include <cmath>

#include <fmt/format.h>

#include "daemon/status/words.h"
#include "lib/base/plain_text.h"
#include "lib/json/json.h"

namespace noonfall::page {
namespace {

using json::Json;

std::int64_t ms(Utc at) {
  return std::chrono::floor<std::chrono::milliseconds>(at.time_since_epoch()).count();
}
std::int64_t ms(Duration span) {
  return std::chrono::round<std::chrono::milliseconds>(span).count();
}

Json call_json(const std::optional<status::Call>& call) {
  if (!call) return nullptr;
  return {{"at_ms", ms(call->at)}, {"words", plain_line(call->words)}};
}

Json contact_json(const status::NamedInstant& contact) {
  return {{"name", contacts::to_text(contact.name)}, {"at_ms", ms(contact.utc)}};
}

Json totality_json(const status::StatusFacts& facts) {
  if (facts.totality == Duration{}) return nullptr;
  Json out{{"total_ms", ms(facts.totality)}};
  if (facts.in_totality) out["elapsed_ms"] = ms(facts.in_totality->elapsed);
  return out;
}

double rounded(double value) {
  return std::round(value * 10'000) / 10'000;
}

Json moon_json(const std::optional<contacts::MoonPlace>& moon) {
  if (!moon) return nullptr;
  return {{"radius", rounded(moon->radius)},
          {"north", rounded(moon->north)},
          {"east", rounded(moon->east)},
          {"zenith_deg", rounded(moon->zenith.value)}};
}

std::string_view state_word(const status::RigStatus& rig) {
  return rig.filter ? to_text(*rig.filter) : "none";
}

/// "1/2000 f/8 ISO 400", of a bracket its first and last.
std::string exposures_text(const std::vector<exposure::Exposure>& exposures) {
  if (exposures.empty()) return {};
  const auto first = exposure::to_text(exposures.front());
  if (exposures.size() == 1) return first;
  return fmt::format("{} frames, {} to {}", exposures.size(), first,
                     exposure::to_text(exposures.back().shutter));
}

void add_rest(const status::RigStatus& rig, Json& out) {
  if (rig.exposure) out["exposure"] = exposure::to_text(*rig.exposure);
  if (rig.late) out["late"] = status::late_words(*rig.late);
  if (rig.levels.battery_percent) out["battery_percent"] = *rig.levels.battery_percent;
  if (rig.levels.card_frames) out["card_frames"] = *rig.levels.card_frames;
  if (rig.next_due) out["next_ms"] = ms(*rig.next_due);
  if (rig.picture) out["picture_ms"] = ms(rig.picture_of);
  if (!rig.looks.empty()) out["looks"] = plain_line(rig.looks);
  if (rig.proposed_trim)
    out["proposed"] = plain_line(to_text(shotlog::Command{shotlog::Trim{rig.rig, *rig.proposed_trim}}));
}

Json rig_json(const status::RigStatus& rig, Utc now) {
  Json out{{"name", plain_line(rig.rig)},
           {"body", status::body_word(rig.body)},
           {"why", plain_line(rig.why)},
           {"filter", status::filter_words(rig)},
           {"filter_state", state_word(rig)},
           {"doing", plain_line(status::doing_words(rig, now))},
           {"hands", plain_line(rig.hands)},
           {"step", plain_line(rig.step)},
           {"back_to_back", rig.back_to_back},
           {"next_step", plain_line(rig.next_step)},
           {"next_exposures", exposures_text(rig.next_exposures)},
           {"trim", rig.trim == 0 ? "" : status::trim_words(rig.trim) + " stops"},
           {"frames", status::count_words(rig)}};
  add_rest(rig, out);
  return out;
}

}  // namespace

std::string facts_json(const status::StatusFacts& facts) {
  const auto source = facts.clock_source.empty() ? "" : " (" + facts.clock_source + ")";
  Json out{{"now_ms", ms(facts.now)},
           {"speed", facts.speed},
           {"local", facts.local_clock.substr(0, facts.local_clock.find('.'))},
           {"zone", plain_line(facts.zone)},
           {"title", plain_line(facts.title)},
           {"mode", status::mode_words(facts.mode, facts.speed)},
           {"clock", plain_line(status::clock_words(facts.clock) + source)},
           {"clock_remedy", status::clock_remedy(facts.clock.grade)},
           {"totality", totality_json(facts)},
           {"needed", call_json(facts.hands)},
           {"next", call_json(facts.next)},
           {"last", call_json(facts.last)},
           {"moon", moon_json(facts.moon)}};
  out["next_contact"] = facts.next_contact ? contact_json(*facts.next_contact) : Json(nullptr);
  for (const auto* list : {"contacts", "alarms", "rigs"}) out[list] = Json::array();
  for (const auto& contact : facts.contacts) out["contacts"].push_back(contact_json(contact));
  for (const auto& alarm : facts.alarms)
    out["alarms"].push_back({{"at_ms", ms(alarm.at)}, {"words", plain_line(alarm.words)}});
  for (const auto& rig : facts.rigs) out["rigs"].push_back(rig_json(rig, facts.now));
  auto line = json::to_line(out);
  line.pop_back();
  return line;
}

}  // namespace noonfall::page
