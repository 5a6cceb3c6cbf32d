#include "lib/shotlog/codec.h"

#include <fmt/format.h>

#include "lib/exposure/exposure_json.h"
#include "lib/shotlog/checksum.h"
#include "lib/shotlog/encodings.h"

namespace noonfall::shotlog {
namespace {

constexpr std::string_view crc_member = ",\"crc\":\"";
constexpr std::size_t crc_tail = crc_member.size() + 8 + 2;  // ,"crc":"9a3f01bc"}

}  // namespace

void fields(auto& io, json::Like<PlannedStep> auto& it) {
  io("step", it.step);
  io("line", it.plan_line, count);
  io("subject", it.subject);
  io("filter", it.filtered, json::Either{"on", "off"});
  io("pace", it.back_to_back, json::Either{"back to back", "timed"});
  io("from_utc", it.from, json::utc);
  io("until_utc", it.until, json::utc);
  io("sets", it.sets, count);
  io("frames", it.frames, count);
  io("frames_per_set", it.frames_per_set, count);
  io.maybe("frames_in_turn", it.frames_in_turn, json::List{json::Whole{1, 1'000'000}});
}

void fields(auto& io, json::Like<PlannedWindow> auto& it) {
  io("opens_utc", it.opens, json::utc);
  io("usable_from_utc", it.usable_from, json::utc);
  io("usable_until_utc", it.usable_until, json::utc);
  io("closes_utc", it.closes, json::utc);
}

void fields(auto& io, json::Like<PlannedCorona> auto& it) {
  constexpr json::Number electrons{1e-3, 1e9};
  io("full_well_e", it.light.sensor.full_well_e, electrons);
  io("read_noise_e", it.light.sensor.read_noise_e, json::Number{0, 1e6});
  io("base_iso", it.light.sensor.base_iso);
  io("aperture", it.light.aperture);
  io("lost_stops", it.light.lost.value, json::Number{-100, 100});
  io("signal", it.signals, json::List{json::Described{[](auto& inner, auto& signal) {
       inner("radii", signal.radii, json::Number{1e-3, 100});
       inner("to_noise", signal.to_noise, json::Number{0, 1e9});
     }}});
}

void fields(auto& io, json::Like<PlannedRig> auto& it) {
  io("rig", it.rig);
  if (io.has("body", !it.body.empty())) {
    io("body", it.body);
    io("profile_sha256", it.profile_hash);
  }
  io.maybe("serial", it.serial);
  io.maybe("filter_window", it.window);
  io("steps", it.steps);
  io.maybe("corona", it.corona);
}

void fields(auto& io, json::Like<Header> auto& it) {
  auto version = format_version;
  io("noonfall_shot_log", version, json::Version{.known = format_version, .oldest = oldest_version});
  io("mode", it.mode, json::Words{Mode::simulated});
  io("title", it.title);
  io("plan_sha256", it.plan_hash);
  io.maybe("seed", it.seed);
  io("eclipse", it.eclipse);
  io("eclipse_kind", it.kind, json::Words{contacts::Kind::total});
  io("site", it.site, json::Described{[](auto& inner, auto& site) {
       inner("latitude", site.latitude.value);
       inner("longitude", site.longitude.value);
       inner("ellipsoidal_height_m", site.height.value);
     }});
  io.maybe("zone", it.zone);
  io("limb", it.limb);
  io("solar_radius_arcsec", it.solar_radius_arcsec);
  io("dut1_s", it.dut1, json::seconds);
  io("delta_t_s", it.delta_t, json::seconds);
  io.maybe("moved_us", it.moved, json::us);
  io("contacts", it.contacts, ByContact{});
  io("rigs", it.rigs);
}

void fields(auto& io, json::Like<FrameName> auto& it) {
  io("rig", it.rig);
  io("step", it.step);
  if (io.has("frame", it.set > 0)) io("frame", it, SetAndFrame{});
}

void fields(auto& io, json::Like<Intent> auto& it) {
  fields(io, it.frame);
  io("order", it.order);
  io("due_utc", it.due, json::utc);
  io("latest_utc", it.latest, json::utc);
  io("exposure", it.exposure);
}

void fields(auto& io, json::Like<FrameOutcome> auto& it) {
  fields(io, it.frame);
  io("result", it.result, json::Words{order::Outcome::cancelled});
  io("due_utc", it.due, json::utc);
  io.maybe("opened_utc", it.opened, json::utc);
  if (it.opened) io.shown("late_ms", *it.opened - it.due, json::milliseconds);
  io("exposure", it.exposure);
  io.maybe("files", it.files);
  io.maybe("why", it.why);
}

void fields(auto& io, json::Like<Skip> auto& it) {
  fields(io, it.frame);
  io.maybe("due_utc", it.due, json::utc);
  io.maybe("reason", it.reason, json::Words{SkipReason::not_here});
  io.maybe("why", it.why);
}

void fields(auto& io, json::Like<CueLine> auto& it) {
  io("words", it.words);
  io("ends_utc", it.ends, json::utc);
  io.maybe("why", it.why);
  io.maybe("printed", it.printed);
  if (!io.has("filter", it.filter.has_value())) return;
  auto& filter = json::made(it.filter);
  io("rig", filter.rig);
  io("filter", filter.leaves, filter_states);
  io.maybe("late", filter.late);
}

void fields(auto& io, json::Like<FilterChange> auto& it) {
  io("rig", it.rig);
  io("state", it.state, filter_states);
  io("confirmed", it.confirmed);
  io.maybe("why", it.why);
}

void fields(auto& io, json::Like<BodyNews> auto& it) {
  io("rig", it.rig);
  io("ready", it.ready);
  io.maybe("why", it.why);
}

void fields(auto& io, json::Like<ClockReadings> auto& it) {
  io("read_boot_us", it.boot, json::us);
  io("read_utc", it.realtime, json::utc);
  io("read_monotonic_us", it.monotonic, json::us);
  io("read_raw_us", it.raw, json::us);
}

void fields(auto& io, json::Like<ClockLine> auto& it) {
  io.maybe("why", it.why);
  if (!io.has("boot_id", it.stamp.has_value())) return;
  auto& stamp = json::made(it.stamp);
  io("boot_id", stamp.boot_id);
  io("boot_us", stamp.mapping.boot, json::us);
  io("boot_utc", stamp.mapping.utc, json::utc);
  io("speed", stamp.mapping.speed, json::Number{1e-6, 1e6});
  if (io.has("read_boot_us", stamp.readings.has_value())) fields(io, json::made(stamp.readings));
}

void fields(auto& io, json::Like<CommandLine> auto& it) {
  if (io.has("words", false)) {  // version 1
    io("words", it.command, json::Spelled<parse_logged_command>{"a command"});
  } else {
    io("command", it.command, json::Alternative<verbs.size()>{verbs});
    std::visit(
        [&](auto& command) {
          if constexpr (requires { command.rig; }) io("rig", command.rig);
          if constexpr (requires { command.stops; }) io("stops", command.stops, json::Number{-6, 6});
          if constexpr (requires { command.state; }) io("state", command.state, filter_states);
          if constexpr (requires { command.step; }) io("step", command.step);
        },
        it.command);
  }
  io.maybe("why", it.why);
}

void fields(auto& io, json::Like<Look> auto& it) {
  io("rig", it.rig);
  io("words", it.words);
  io.maybe("hands", it.hands);
  io.maybe("trim", it.trim, json::Number{-12, 12});
}

void fields(auto& io, json::Like<Amendment> auto& it) {
  fields(io, it.header);
  io.maybe("why", it.why);
}

void fields(auto& io, json::Like<Ended> auto& it) {
  io("how", it.how, json::Words{RunEnd::stopped});
}

void fields(auto& io, json::Like<Note> auto& it) {
  if (io.has("words", true)) io("words", it.words);
}

void fields(auto& io, json::Like<Line> auto& it) {
  io("seq", it.seq);
  io("utc", it.utc, json::utc);
  io("kind", it.entry, Kind{{kinds}});
  io("clock", it.clock.grade, json::Words{ClockGrade::f});
  if (it.clock.grade != ClockGrade::f) io("clock_ms", it.clock.bound, json::Span{1e3, {0, 1e6}});
  std::visit([&](auto& entry) { fields(io, entry); }, it.entry);
}

namespace {

/// What version 1 had sentences for.
void take_as_facts(Entry& entry) {
  for (const auto how : {RunEnd::done, RunEnd::stopped}) {
    const auto* note = std::get_if<Note>(&entry);
    if (note != nullptr && note->words == sentence(how)) entry = Ended{how};
  }
  auto* skip = std::get_if<Skip>(&entry);
  if (skip == nullptr || skip->reason != SkipReason::other) return;
  if (skip->frame.set == 0 && !skip->due) skip->reason = SkipReason::not_here;
  for (auto reason = SkipReason::late; reason < SkipReason::not_here;
       reason = static_cast<SkipReason>(static_cast<int>(reason) + 1)) {
    if (skip->why == sentence(reason)) *skip = {skip->frame, skip->due, reason, {}};
  }
}

}  // namespace

std::string encode(const Line& line) {
  auto text = json::to_line(json::written(line));
  text.resize(text.size() - 2);
  return fmt::format("{},\"crc\":\"{}\"}}\n", text, crc32c_text(text));
}

Result<Line> decode(std::string_view text) {
  const auto bad = [](std::string what) { return fail(error_at({}, "bad-line", std::move(what))); };
  const bool has_crc = text.size() > crc_tail && text.ends_with("\"}") &&
                       text.substr(text.size() - crc_tail).starts_with(crc_member);
  if (!has_crc) return bad("the line doesn't end in its checksum");
  const auto body = text.substr(0, text.size() - crc_tail);
  if (crc32c_text(body) != text.substr(text.size() - 10, 8)) return bad("the checksum doesn't match");
  auto line = json::read<Line>(text, {.code = "bad-line"});
  if (line) take_as_facts(line->entry);
  return line;
}

}  // namespace noonfall::shotlog
