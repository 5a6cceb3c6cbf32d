#include "daemon/worker/codec.h"

#include <nettle/base64.h>

#include "lib/order/order_json.h"

namespace noonfall::worker {
namespace {

constexpr json::Text brief{2000};

/// What a body calls its files, the first few of one frame.
struct FileNames : json::List<json::Text> {
  FileNames() : List{brief, 0, 16} {}
  [[nodiscard]] json::Json write(const std::vector<std::string>& names) const {
    return List::write(std::span{names}.first(std::min(names.size(), most)));
  }
};

/// Of one order they have to fit into a line: lists, with instants that count from the order's `earliest`.
struct AfterEarliest {
  Utc earliest;
  [[nodiscard]] json::Json write(Utc instant) const { return json::us.write(instant - earliest); }
  void read(const json::Found& found, Utc& instant) const {
    Duration after{};
    json::us.read(found, after);
    instant = earliest + after;
  }
};

/// Bytes, as RFC 4648 has them in text.
struct Base64 {
  std::size_t most;

  [[nodiscard]] json::Json write(const std::string& bytes) const {
    std::string text(BASE64_ENCODE_RAW_LENGTH(bytes.size()), '\0');
    base64_encode_raw(text.data(), bytes.size(), reinterpret_cast<const std::uint8_t*>(bytes.data()));
    return text;
  }
  void read(const json::Found& found, std::string& bytes) const {
    const auto* text = found.value.get_ptr<const std::string*>();
    if (text == nullptr || text->size() > BASE64_ENCODE_RAW_LENGTH(most))
      return found.refuse("bytes in base64");
    bytes.resize(BASE64_DECODE_LENGTH(text->size()));
    base64_decode_ctx context;
    base64_decode_init(&context);
    std::size_t size = bytes.size();
    const bool good = base64_decode_update(&context, &size, reinterpret_cast<std::uint8_t*>(bytes.data()),
                                           text->size(), text->data()) == 1 &&
                      base64_decode_final(&context) == 1;
    bytes.resize(good ? size : 0);
    if (!good) found.refuse("bytes in base64");
  }
};

void fields(auto& io, json::Like<DaemonHello> auto& it) {
  io("version", it.version);
}

void fields(auto& io, json::Like<ClockMapping> auto& it) {
  io("boot_us", it.boot, json::us);
  io("utc_us", it.utc, json::us);
  io("speed", it.speed, json::Number{0.1, 1000});
}

void fields(auto& io, json::Like<order::Order> auto& it) {
  io("id", it.id, json::Whole{1});
  io("drive", it.drive, order::drives);
  io("prepare_from_us", it.prepare_from, json::us);
  io("earliest_us", it.earliest, json::us);
  io("whole_or_none", it.whole_or_none);
  io.maybe("closed_by_us", it.closed_by, json::us, Utc::max());
  const auto frame = [after = AfterEarliest{it.earliest}](auto& list, auto& one) {
    list("frame", one.id, json::tuple);
    list("exposure", one.exposure, json::tuple);
    list("due", one.due, after);
    list("latest", one.latest, after);
  };
  io("frames", it.frames, json::List{json::Described{frame, json::Json::value_t::array}, 1, most_frames});
}

void fields(auto& io, json::Like<order::Cancel> auto& it) {
  io("order", it.order, json::Whole{1});
  io("why", it.why, brief);
}

void fields(auto& io, json::Like<order::Recover> auto& it) {
  io("rung", it.remedy, json::Words{order::Remedy::restart_worker});
  io("until_us", it.until, json::us);
  io.maybe("spare", it.spare);
}

void fields(auto& io, json::Like<NextDue> auto& it) {
  io.maybe("at_us", it.at, json::us, Utc::max());
}

void fields(auto& io, json::Like<Acknowledge> auto& it) {
  io("report", it.report, json::Whole{0});
}

void fields(auto& /*io*/, json::Like<Quit> auto& /*it*/) {}

void fields(auto& io, json::Like<WorkerHello> auto& it) {
  io("version", it.version);
  if (it.version != protocol_version) return;
  io("pid", it.pid);
  io("rig", it.rig);
  io("profile", it.body.profile, brief);
  io("profile_sha256", it.body.profile_hash, brief);
  io("serial", it.body.serial, brief);
  io("last_order", it.last_order, json::Whole{0});
  const auto held = [](auto& one, auto& order) {
    one("order", order.order);
    one.maybe("started_us", order.started, json::us);
  };
  io("held", it.held, json::List{json::Described{held}, 0, 1000});
  io("first_report", it.first_report, json::Whole{1});
}

void fields(auto& io, json::Like<order::OrderStarted> auto& it) {
  io("order", it.order);
  io("at_us", it.at, json::us);
}

void fields(auto& io, json::Like<order::FrameDone> auto& it) {
  io("order", it.order);
  io("frame", it.id, json::tuple);
  io("outcome", it.outcome, order::outcomes);
  io("at_us", it.at, json::us);
  io("released_us", it.released, json::us);
  io("opened_us", it.opened, json::us);
  io("closed_us", it.closed, json::us);
  io("exposure", it.exposure, json::tuple);
  io("files", it.files, FileNames{});
  io("why", it.why, brief);
}

void fields(auto& io, json::Like<order::OrderDone> auto& it) {
  io("order", it.order);
  io("at_us", it.at, json::us);
}

void fields(auto& io, json::Like<order::RigState> auto& it) {
  io("rig", it.rig);
  io("ready", it.ready);
  io("at_us", it.at, json::us);
  io("why", it.why, brief);
  io.maybe("spare", it.spare, brief);
}

void fields(auto& io, json::Like<NumberedReport> auto& it) {
  io("n", it.number, json::Whole{1});
  io("what", it.report, json::Alternative<4>{{"started", "frame", "done", "state"}});
  std::visit([&](auto& report) { fields(io, report); }, it.report);
}

void fields(auto& io, json::Like<Alive> auto& it) {
  io.maybe("battery_percent", it.levels.battery_percent, json::Whole{0, 100});
  io.maybe("card_frames", it.levels.card_frames, json::Whole{0});
  if (!io.has("call", it.call.has_value())) return;
  auto& call = json::made(it.call);
  io("call", call.what, brief);
  io("since_boot_us", call.since, json::us);
  io("deadline_boot_us", call.deadline, json::us);
}

void fields(auto& io, json::Like<Note> auto& it) {
  io("words", it.words, brief);
}

void fields(auto& io, json::Like<Refusal> auto& it) {
  io("words", it.words, brief);
  io.maybe("order", it.order);
}

void fields(auto& io, json::Like<MayLook> auto& it) {
  io("allowed", it.allowed);
}

void fields(auto& io, json::Like<Picture> auto& it) {
  constexpr json::Number share{0, 1};
  io("frame", it.frame, json::tuple);
  io("opened_us", it.opened, json::us);
  io("exposure", it.exposure, json::tuple);
  io("jpeg", it.jpeg, Base64{largest_picture});
  auto& seen = it.seen;
  io("pixels", seen.pixels, json::Whole{0});
  io("brightness", seen.brightness, share);
  io("clipped", seen.clipped, share);
  io("edge", seen.edge, json::Number{0, 1000});
  io("room", seen.room, share);
  io("side", seen.side, json::Words{look::Side::bottom});
}

constexpr json::Alternative<std::variant_size_v<ToWorker>> daemon_says{
    {"hello", "clock", "order", "cancel", "recover", "due", "ack", "quit", "look"}, "unknown-say"};
constexpr json::Alternative<std::variant_size_v<FromWorker>> worker_says{
    {"hello", "report", "alive", "note", "error", "picture"}, "unknown-say"};

auto line_of(const auto& say) {
  return json::Described{[&say](auto& io, auto& words) {
    io("say", words, say);
    std::visit([&](auto& said) { fields(io, said); }, words);
  }};
}

}  // namespace

std::string encode(const ToWorker& words) {
  return json::to_line(line_of(daemon_says).write(words));
}

std::string encode(const FromWorker& words) {
  return json::to_line(line_of(worker_says).write(words));
}

Result<ToWorker> decode_to_worker(std::string_view line) {
  return json::read<ToWorker>(line, {.code = "bad-line"}, line_of(daemon_says));
}

Result<FromWorker> decode_from_worker(std::string_view line) {
  return json::read<FromWorker>(line, {.code = "bad-line"}, line_of(worker_says));
}

}  // namespace noonfall::worker
