#include <array>

#include "daemon/worker/codec.h"
#include "daemon/worker/decode_line.h"
#include "daemon/worker/json_members.h"

namespace noonfall::worker {
namespace {

using order::Outcome;

constexpr std::size_t most_files = 16;  // of one frame
constexpr std::size_t most_held = 1000;

Outcome get_outcome(const Json& value) {
  const auto word = text(value, "outcome");
  for (const auto outcome :
       {Outcome::fired, Outcome::failed, Outcome::unknown, Outcome::skipped, Outcome::cancelled}) {
    if (word == order::to_text(outcome)) return outcome;
  }
  throw BadMember{"\"outcome\""};
}

void put(Json& out, const order::OrderStarted& started) {
  out["what"] = "started";
  out["order"] = started.order;
  out["at_us"] = us(started.at);
}

void put(Json& out, const order::FrameDone& done) {
  out["what"] = "frame";
  out["order"] = done.order;
  out["frame"] = to_json(done.id);
  out["outcome"] = order::to_text(done.outcome);
  out["at_us"] = us(done.at);
  out["released_us"] = us(done.released);
  out["opened_us"] = us(done.opened);
  out["closed_us"] = us(done.closed);
  out["exposure"] = to_json(done.exposure);
  out["files"] = Json::array();
  for (const auto& file : done.files) {
    if (out["files"].size() < most_files) out["files"].push_back(clipped(file));
  }
  out["why"] = clipped(done.why);
}

void put(Json& out, const order::OrderDone& done) {
  out["what"] = "done";
  out["order"] = done.order;
  out["at_us"] = us(done.at);
}

void put(Json& out, const order::RigState& state) {
  out["what"] = "state";
  out["rig"] = state.rig;
  out["ready"] = state.ready;
  out["at_us"] = us(state.at);
  out["why"] = clipped(state.why);
}

Json line_of(const NumberedReport& numbered) {
  Json out{{"say", "report"}, {"n", numbered.number}};
  std::visit([&](const auto& report) { put(out, report); }, numbered.report);
  return out;
}

order::FrameDone frame_done(const Json& in) {
  order::FrameDone done;
  done.order = integer(member(in, "order"), "order");
  done.id = frame_id(member(in, "frame"));
  done.outcome = get_outcome(member(in, "outcome"));
  done.at = instant(member(in, "at_us"), "at_us");
  done.released = instant(member(in, "released_us"), "released_us");
  done.opened = instant(member(in, "opened_us"), "opened_us");
  done.closed = instant(member(in, "closed_us"), "closed_us");
  done.exposure = get_exposure(member(in, "exposure"));
  const auto& files = member(in, "files");
  if (!files.is_array() || files.size() > most_files) throw BadMember{"\"files\""};
  for (const auto& file : files) done.files.push_back(text(file, "files"));
  done.why = text(member(in, "why"), "why");
  return done;
}

order::Report get_report(const Json& in) {
  const auto what = text(member(in, "what"), "what");
  if (what == "frame") return frame_done(in);
  const auto at = instant(member(in, "at_us"), "at_us");
  if (what == "started") return order::OrderStarted{integer(member(in, "order"), "order"), at};
  if (what == "done") return order::OrderDone{integer(member(in, "order"), "order"), at};
  if (what == "state") {
    return order::RigState{whole_number(member(in, "rig"), "rig"), flag(member(in, "ready"), "ready"), at,
                           text(member(in, "why"), "why")};
  }
  throw BadMember{"\"what\""};
}

Json line_of(const WorkerHello& hello) {
  auto held = Json::array();
  for (const auto& [order, started] : hello.held) {
    held.push_back({{"order", order}});
    if (started) held.back()["started_us"] = us(*started);
  }
  return {{"say", "hello"},
          {"version", hello.version},
          {"pid", hello.pid},
          {"rig", hello.rig},
          {"profile", clipped(hello.body.profile)},
          {"profile_sha256", clipped(hello.body.profile_hash)},
          {"serial", clipped(hello.body.serial)},
          {"last_order", hello.last_order},
          {"held", std::move(held)},
          {"first_report", hello.first_report}};
}

std::vector<order::HeldOrder> get_held(const Json& in) {
  if (!in.is_array() || in.size() > most_held) throw BadMember{"\"held\""};
  std::vector<order::HeldOrder> held;
  for (const auto& item : in) {
    held.push_back({integer(member(item, "order"), "order"), std::nullopt});
    if (item.contains("started_us")) held.back().started = instant(item["started_us"], "started_us");
  }
  return held;
}

WorkerHello get_hello(const Json& in) {
  WorkerHello hello;
  hello.version = whole_number(member(in, "version"), "version");
  if (hello.version != protocol_version) return hello;
  hello.pid = whole_number(member(in, "pid"), "pid");
  hello.rig = whole_number(member(in, "rig"), "rig");
  hello.body = {text(member(in, "profile"), "profile"), text(member(in, "profile_sha256"), "profile_sha256"),
                text(member(in, "serial"), "serial")};
  hello.last_order = integer(member(in, "last_order"), "last_order", 0);
  hello.held = get_held(member(in, "held"));
  hello.first_report = integer(member(in, "first_report"), "first_report", 1);
  return hello;
}

Json line_of(const Alive& alive) {
  Json out{{"say", "alive"}};
  if (!alive.call) return out;
  out["call"] = clipped(alive.call->what);
  out["since_boot_us"] = us(alive.call->since);
  out["deadline_boot_us"] = us(alive.call->deadline);
  return out;
}

Alive get_alive(const Json& in) {
  if (!in.contains("call")) return {};
  return {Alive::Call{text(member(in, "call"), "call"),
                      boot_instant(member(in, "since_boot_us"), "since_boot_us"),
                      boot_instant(member(in, "deadline_boot_us"), "deadline_boot_us")}};
}

Json line_of(const Note& note) {
  return {{"say", "note"}, {"words", clipped(note.words)}};
}

Json line_of(const Refusal& refusal) {
  Json out{{"say", "error"}, {"words", clipped(refusal.words)}};
  if (refusal.order) out["order"] = *refusal.order;
  return out;
}

Refusal get_refusal(const Json& in) {
  Refusal refusal{text(member(in, "words"), "words"), std::nullopt};
  if (in.contains("order")) refusal.order = integer(in["order"], "order");
  return refusal;
}

FromWorker from_worker(const Json& in, const std::string& say) {
  if (say == "hello") return get_hello(in);
  if (say == "report") return NumberedReport{integer(member(in, "n"), "n", 1), get_report(in)};
  if (say == "alive") return get_alive(in);
  if (say == "note") return Note{text(member(in, "words"), "words")};
  if (say == "error") return get_refusal(in);
  throw UnknownSay{};
}

}  // namespace

std::string encode(const FromWorker& words) {
  return dumped(std::visit([](const auto& said) { return line_of(said); }, words));
}

Result<FromWorker> decode_from_worker(std::string_view line) {
  return decode_line<FromWorker>(line, from_worker);
}

}  // namespace noonfall::worker
