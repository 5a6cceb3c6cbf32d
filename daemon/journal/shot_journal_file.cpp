// A new file for a log whose file the disk no longer vouches for.
#include <unistd.h>

#include <cerrno>
#include <utility>

#include <fmt/format.h>

#include "daemon/journal/shot_journal.h"
#include "daemon/posix/error_words.h"
#include "daemon/posix/file_descriptor.h"

namespace noonfall::journal {
namespace {

constexpr int most_failed_files = 99;

}  // namespace

void ShotJournal::start_anew(const std::string& trouble) {
  constexpr int polls_between_tries = 60;
  const int error = write_new_file();
  if (error != 0) {
    polls_left_ = polls_between_tries;
    say(JournalNews::Kind::alarm, fmt::format("{}; a new file can't be written: {}; the shooting goes on",
                                              trouble, posix::error_words(error)));
    return;
  }
  polls_left_ = std::nullopt;
  say(JournalNews::Kind::alarm, trouble + "; a new shots.jsonl has every line so far");
}

bool ShotJournal::is_in_place() {
  in_place_ = posix::leads_to(fmt::format("{}/{}", folder_.path(), shot_log_name), file_->get());
  return in_place_;
}

Result<void> ShotJournal::write_anew() {
  if (is_in_place()) return {};
  proven_ = true;  // whatever is there by that name isn't ours to lose
  if (const int error = write_new_file(); error != 0)
    return fail(error_at(
        {}, "run-folder",
        fmt::format("can't write {}/{}: {}", folder_.path(), shot_log_name, posix::error_words(error))));
  polls_left_ = std::nullopt;
  in_place_ = true;
  return {};
}

/// 0 when shots.jsonl is a new file with every line; otherwise an errno, and the old one is still in use.
int ShotJournal::write_new_file() {
  const auto keep_old = [&](int) { return proven_ ? keep_failed_file() : 0; };
  auto file = std::make_shared<const posix::FileDescriptor>(
      posix::write_whole(calls_, folder_.directory(), shot_log_name, bytes_, keep_old));
  if (!*file) return errno;
  file_ = std::move(file);
  ++file_number_;
  proven_ = false;
  written_ = bytes_.size();
  if (stuck_) written_again();
  reserve();
  disk_.watch(file_number_, file_);
  return 0;
}

/// A second name for the old file, so that there is a shots.jsonl at every instant.
int ShotJournal::keep_failed_file() const {
  for (int number = 1; number <= most_failed_files; ++number) {
    const auto name = fmt::format("shots.failed-{}.jsonl", number);
    if (calls_.link(folder_.directory(), shot_log_name, name) == 0) return 0;
    if (errno == ENOENT) return 0;  // there is none
    if (errno != EEXIST) return errno;
  }
  return EEXIST;
}

}  // namespace noonfall::journal
