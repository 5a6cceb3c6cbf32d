#include "daemon/cli/log_files.h"

#include <algorithm>
#include <ostream>

#include <fmt/format.h>

#include "daemon/posix/text_file.h"

namespace noonfall::cli {
namespace {

bool tells_a_plan(const shotlog::Line& line) {
  return std::holds_alternative<shotlog::Header>(line.entry) ||
         std::holds_alternative<shotlog::Amendment>(line.entry);
}

std::optional<shotlog::Replayed> read_log(const std::string& path, Context& context) {
  shotlog::Replayer replayer;
  const auto read = posix::read_in_pieces(path, [&](std::string_view piece) {
    replayer.take(piece);
    return true;
  });
  if (!read) {
    refuse(read.error(), context);
    return std::nullopt;
  }
  auto log = replayer.finish();
  attach_source(log.damage, path, "");
  // Of a file that is no log at all, every line is damaged: one word about the file says more.
  if (!log.lines.empty()) context.err << to_text(log.damage);
  if (std::none_of(log.lines.begin(), log.lines.end(), tells_a_plan)) {
    refuse({error_at({}, "no-log", fmt::format("{} is no shot log: its first line isn't a header", path),
                     "a file that noonfall rehearse --log or noonfalld wrote")},
           context, Exit::work_has_errors);
    return std::nullopt;
  }
  if (!log.damage.empty()) context.exit = Exit::work_has_errors;
  return log;
}

}  // namespace

bool refuse(const Diagnostics& why, Context& context, Exit exit) {
  context.err << to_text(why);
  context.exit = exit;
  return false;
}

std::optional<std::vector<shotlog::Replayed>> read_logs(const std::vector<std::string>& paths,
                                                        Context& context) {
  std::vector<shotlog::Replayed> logs;
  for (const auto& path : paths) {
    auto log = read_log(path, context);
    if (!log) return std::nullopt;
    logs.push_back(std::move(*log));
  }
  return logs;
}

}  // namespace noonfall::cli
