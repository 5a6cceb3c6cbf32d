#include <array>

#include <fmt/format.h>

#include "daemon/worker/codec.h"
#include "daemon/worker/decode_line.h"
#include "daemon/worker/json_members.h"
#include "lib/base/match.h"

namespace noonfall::worker {
namespace {

using order::Rung;

constexpr std::array<std::pair<Rung, const char*>, 4> rungs{{{Rung::drain_and_retry, "drain and retry"},
                                                             {Rung::reopen, "reopen"},
                                                             {Rung::reset_port, "reset port"},
                                                             {Rung::restart_worker, "restart worker"}}};

const char* rung_word(Rung rung) {
  for (const auto& [value, word] : rungs) {
    if (value == rung) return word;
  }
  return "reopen";
}

Rung get_rung(const Json& value) {
  const auto asked = text(value, "rung");
  for (const auto& [rung, word] : rungs) {
    if (asked == word) return rung;
  }
  throw BadMember{"\"rung\""};
}

/// Frames are lists, and their instants count from `earliest`: 4,096 of them have to fit into a line.
Json line_of(const order::Order& order) {
  Json out{{"say", "order"},
           {"id", order.id},
           {"drive", body::to_text(order.drive)},
           {"prepare_from_us", us(order.prepare_from)},
           {"earliest_us", us(order.earliest)},
           {"whole_or_none", order.whole_or_none}};
  if (order.closed_by != Utc::max()) out["closed_by_us"] = us(order.closed_by);
  auto& frames = out["frames"] = Json::array();
  for (const auto& frame : order.frames) {
    frames.push_back(Json::array({to_json(frame.id), to_json(frame.exposure), us(frame.due - order.earliest),
                                  us(frame.latest - order.earliest)}));
  }
  return out;
}

order::OrderedFrame ordered_frame(const Json& value, Utc earliest) {
  if (!value.is_array() || value.size() != 4) throw BadMember{"\"frames\""};
  const auto after = [&](const Json& offset) {
    return earliest + instant(offset, "frames").time_since_epoch();
  };
  return {frame_id(value[0]), get_exposure(value[1]), after(value[2]), after(value[3])};
}

order::Order get_order(const Json& in) {
  order::Order order;
  order.id = integer(member(in, "id"), "id", 1);
  order.drive = get_drive(member(in, "drive"));
  order.prepare_from = instant(member(in, "prepare_from_us"), "prepare_from_us");
  order.earliest = instant(member(in, "earliest_us"), "earliest_us");
  order.whole_or_none = flag(member(in, "whole_or_none"), "whole_or_none");
  if (in.contains("closed_by_us")) order.closed_by = instant(in["closed_by_us"], "closed_by_us");
  const auto& frames = member(in, "frames");
  if (!frames.is_array() || frames.empty()) throw BadMember{"\"frames\""};
  if (frames.size() > most_frames) throw BadMember{fmt::format("\"frames\" (more than {})", most_frames)};
  for (const auto& frame : frames) order.frames.push_back(ordered_frame(frame, order.earliest));
  return order;
}

ClockMapping get_clock(const Json& in) {
  constexpr double slowest = 0.1;
  constexpr double fastest = 1000;
  const auto& speed = member(in, "speed");
  if (!speed.is_number()) throw BadMember{"\"speed\""};
  ClockMapping mapping{boot_instant(member(in, "boot_us"), "boot_us"),
                       instant(member(in, "utc_us"), "utc_us"), speed.get<double>()};
  if (!(mapping.speed >= slowest && mapping.speed <= fastest)) throw BadMember{"\"speed\""};
  return mapping;
}

Json line_of(const ClockMapping& clock) {
  return {{"say", "clock"}, {"boot_us", us(clock.boot)}, {"utc_us", us(clock.utc)}, {"speed", clock.speed}};
}

ToWorker to_worker(const Json& in, const std::string& say) {
  if (say == "hello") return DaemonHello{whole_number(member(in, "version"), "version")};
  if (say == "clock") return get_clock(in);
  if (say == "order") return get_order(in);
  if (say == "cancel") {
    return order::Cancel{integer(member(in, "order"), "order", 1), text(member(in, "why"), "why")};
  }
  if (say == "recover") {
    return order::Recover{get_rung(member(in, "rung")), instant(member(in, "until_us"), "until_us")};
  }
  if (say == "due") return NextDue{in.contains("at_us") ? instant(in["at_us"], "at_us") : Utc::max()};
  if (say == "ack") return Acknowledge{integer(member(in, "report"), "report", 0)};
  if (say == "quit") return Quit{};
  throw UnknownSay{};
}

}  // namespace

std::string encode(const ToWorker& words) {
  return dumped(std::visit(
      Match{[](const DaemonHello& hello) {
              return Json{{"say", "hello"}, {"version", hello.version}};
            },
            [](const ClockMapping& clock) { return line_of(clock); },
            [](const order::Order& order) { return line_of(order); },
            [](const order::Cancel& cancel) {
              return Json{{"say", "cancel"}, {"order", cancel.order}, {"why", clipped(cancel.why)}};
            },
            [](const order::Recover& recover) {
              return Json{
                  {"say", "recover"}, {"rung", rung_word(recover.rung)}, {"until_us", us(recover.until)}};
            },
            [](const NextDue& due) {
              Json out{{"say", "due"}};
              if (due.at != Utc::max()) out["at_us"] = us(due.at);
              return out;
            },
            [](const Acknowledge& ack) {
              return Json{{"say", "ack"}, {"report", ack.report}};
            },
            [](const Quit&) {
              return Json{{"say", "quit"}};
            }},
      words));
}

Result<ToWorker> decode_to_worker(std::string_view line) {
  return decode_line<ToWorker>(line, to_worker);
}

}  // namespace noonfall::worker
