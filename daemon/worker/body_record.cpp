#include "daemon/worker/body_record.h"

#include "lib/order/order_json.h"

namespace noonfall::sim {

void fields(auto& io, json::Like<RecordedFrame> auto& it) {
  io("frame", it.id, json::tuple);
  io("released_utc", it.released, json::utc);
  io("opened_utc", it.opened, json::utc);
  io("closed_utc", it.closed, json::utc);
  io("exposure", it.exposure, json::tuple);
  io("drive", it.drive, order::drives);
  io("files", it.files);
}

}  // namespace noonfall::sim

namespace noonfall::worker {

std::string to_line(const sim::RecordedFrame& frame) {
  return json::to_line(json::written(frame));
}

std::vector<sim::RecordedFrame> read_record(std::string_view text) {
  std::vector<sim::RecordedFrame> frames;
  while (!text.empty()) {
    const auto end = std::min(text.find('\n'), text.size());
    if (auto frame = json::read<sim::RecordedFrame>(text.substr(0, end), {}))
      frames.push_back(std::move(*frame));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return frames;
}

}  // namespace noonfall::worker
