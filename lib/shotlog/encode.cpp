#include <fmt/format.h>

#include "lib/shotlog/checksum.h"
#include "lib/shotlog/codec.h"
#include "lib/shotlog/json_fields.h"
#include "lib/time/utc_text.h"

namespace noonfall::shotlog {
namespace {

void put(Json& out, const FrameName& name) {
  out["rig"] = name.rig;
  out["step"] = name.step;
  if (name.set > 0) out["frame"] = fmt::format("{}.{}", name.set, name.frame);
}

void put_why(Json& out, const std::string& why) {
  if (!why.empty()) out["why"] = why;
}

void put(Json& out, const exposure::Exposure& exposure) {
  auto& inner = out["exposure"];
  inner["shutter"] = exposure::to_text(exposure.shutter);
  if (exposure.aperture) inner["aperture"] = exposure::to_text(*exposure.aperture);
  inner["iso"] = exposure.iso.value;
}

void put(Json& out, const Intent& intent) {
  put(out, intent.frame);
  out["order"] = intent.order;
  put_utc(out, "due_utc", intent.due);
  put_utc(out, "latest_utc", intent.latest);
  put(out, intent.exposure);
}

void put(Json& out, const Outcome& outcome) {
  put(out, outcome.frame);
  out["result"] = order::to_text(outcome.result);
  put_utc(out, "due_utc", outcome.due);
  if (outcome.opened) {
    put_utc(out, "opened_utc", *outcome.opened);
    out["late_ms"] = in_milliseconds(*outcome.opened - outcome.due);
  }
  put(out, outcome.exposure);
  if (!outcome.files.empty()) out["files"] = outcome.files;
  put_why(out, outcome.why);
}

void put(Json& out, const Skip& skip) {
  put(out, skip.frame);
  if (skip.due) put_utc(out, "due_utc", *skip.due);
  put_why(out, skip.why);
}

void put(Json& out, const CueSpoken& cue) {
  out["words"] = cue.words;
  put_utc(out, "ends_utc", cue.ends);
  put_why(out, cue.why);
  if (!cue.filter) return;
  out["rig"] = cue.filter->rig;
  out["filter"] = to_text(cue.filter->leaves);
  if (cue.filter->late) out["late"] = true;
}

void put(Json& out, const FilterChange& change) {
  out["rig"] = change.rig;
  out["state"] = to_text(change.state);
  out["confirmed"] = change.confirmed;
  put_why(out, change.why);
}

void put(Json& out, const Fault& fault) {
  out["rig"] = fault.rig;
  out["ready"] = fault.ready;
  put_why(out, fault.why);
}

void put(Json& out, const ClockReadings& readings) {
  out["read_boot_us"] = readings.boot.time_since_epoch().count();
  put_utc(out, "read_utc", readings.realtime);
  out["read_monotonic_us"] = readings.monotonic.count();
  out["read_raw_us"] = readings.raw.count();
}

void put(Json& out, const ClockLine& clock) {
  put_why(out, clock.why);
  if (!clock.stamp) return;
  out["boot_id"] = clock.stamp->boot_id;
  out["boot_us"] = clock.stamp->mapping.boot.time_since_epoch().count();
  put_utc(out, "boot_utc", clock.stamp->mapping.utc);
  out["speed"] = clock.stamp->mapping.speed;
  if (clock.stamp->readings) put(out, *clock.stamp->readings);
}

void put(Json& out, const CommandLine& command) {
  out["words"] = command.words;
  put_why(out, command.why);
}

void put(Json& out, const Amendment& amendment) {
  put(out, amendment.header);
  put_why(out, amendment.why);
}

void put(Json& out, const Note& note) {
  out["words"] = note.words;
}

}  // namespace

std::string encode(const Line& line) {
  Json out;
  out["seq"] = line.seq;
  put_utc(out, "utc", line.utc);
  out["kind"] = kind_of(line.entry);
  out["clock"] = std::string(1, to_char(line.clock.grade));
  if (line.clock.grade != ClockGrade::f) out["clock_ms"] = in_milliseconds(line.clock.bound);
  std::visit([&](const auto& entry) { put(out, entry); }, line.entry);
  auto text = out.dump(-1, ' ', false, Json::error_handler_t::replace);
  text.pop_back();
  return fmt::format("{},\"crc\":\"{}\"}}\n", text, crc32c_text(text));
}

}  // namespace noonfall::shotlog
