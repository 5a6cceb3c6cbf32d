#include "daemon/worker/body_record.h"

#include <fcntl.h>

#include <algorithm>

#include <fmt/format.h>

#include "daemon/posix/error_words.h"
#include "daemon/posix/text_file.h"
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

Result<RecordFile> RecordFile::open(const std::string& path) {
  RecordFile record;
  record.file_ = posix::FileDescriptor{::open(path.c_str(), O_RDWR | O_APPEND | O_CREAT | O_CLOEXEC, 0600)};
  if (!record.file_.is_open()) {
    return fail(error_at({}, "file", fmt::format("can't write {}: {}", path, posix::error_words())));
  }
  const auto text = posix::read_text_file(path);
  if (!text) return fail(text.error());
  record.taken_before_ = static_cast<int>(read_record(*text).size());
  record.torn_ = !text->empty() && text->back() != '\n';
  return record;
}

void RecordFile::append(const sim::RecordedFrame& frame) {
  auto line = to_line(frame);
  if (torn_) line = '\n' + line;
  const auto written = ::write(file_.get(), line.data(), line.size());
  torn_ = written != static_cast<ssize_t>(line.size()) && written > 0;
}

}  // namespace noonfall::worker
