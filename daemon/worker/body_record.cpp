#include "daemon/worker/body_record.h"

#include <fcntl.h>

#include <algorithm>
#include <cerrno>
#include <optional>

#include <fmt/format.h>

#include "daemon/posix/error_words.h"
#include "daemon/posix/text_file.h"
#include "daemon/worker/json_members.h"
#include "lib/time/utc_text.h"

namespace noonfall::worker {
namespace {

Utc utc(const Json& in, const char* name) {
  const auto when = parse_utc(text(member(in, name), name));
  if (!when) throw BadMember{name};
  return *when;
}

std::optional<sim::RecordedFrame> read_line(std::string_view line) {
  const auto json = Json::parse(line, nullptr, false);
  try {
    sim::RecordedFrame frame;
    frame.id = frame_id(member(json, "frame"));
    frame.released = utc(json, "released_utc");
    frame.opened = utc(json, "opened_utc");
    frame.closed = utc(json, "closed_utc");
    frame.exposure = get_exposure(member(json, "exposure"));
    frame.drive = get_drive(member(json, "drive"));
    for (const auto& file : member(json, "files")) frame.files.push_back(text(file, "files"));
    return frame;
  } catch (const BadMember&) {
    return std::nullopt;
  }
}

}  // namespace

std::string to_line(const sim::RecordedFrame& frame) {
  return dumped({{"frame", to_json(frame.id)},
                 {"released_utc", to_text_us(frame.released)},
                 {"opened_utc", to_text_us(frame.opened)},
                 {"closed_utc", to_text_us(frame.closed)},
                 {"exposure", to_json(frame.exposure)},
                 {"drive", body::to_text(frame.drive)},
                 {"files", frame.files}});
}

std::vector<sim::RecordedFrame> read_record(std::string_view text) {
  std::vector<sim::RecordedFrame> frames;
  while (!text.empty()) {
    const auto end = std::min(text.find('\n'), text.size());
    if (auto frame = read_line(text.substr(0, end))) frames.push_back(std::move(*frame));
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
