#include "daemon/worker/record_file.h"

#include <fcntl.h>

#include <cerrno>

#include <fmt/format.h>

#include "daemon/posix/error_words.h"
#include "daemon/posix/file_descriptor.h"
#include "daemon/posix/text_file.h"
#include "daemon/worker/body_record.h"

namespace noonfall::worker {

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
