#include "daemon/journal/shot_journal.h"

#include <fcntl.h>

#include <cerrno>
#include <utility>

#include <fmt/format.h>

#include "daemon/journal/earlier_log.h"
#include "daemon/posix/error_words.h"
#include "daemon/posix/file_descriptor.h"
#include "lib/shotlog/codec.h"

namespace noonfall::journal {
namespace {

/// Lines that an earlier daemon couldn't bring to the disk follow those that are there.
void take_over(std::string_view elsewhere, EarlierLog& log) {
  if (elsewhere.empty()) return;
  std::size_t count = 0;
  for (auto end = elsewhere.find('\n'); end != std::string_view::npos; end = elsewhere.find('\n')) {
    if (auto line = shotlog::decode(elsewhere.substr(0, end))) log.lines.push_back(std::move(*line));
    elsewhere.remove_prefix(end + 1);
    ++count;
  }
  if (!log.note.empty()) log.note += "; ";
  log.note += fmt::format("{} lines for which the disk had no room come from the second place", count);
}

}  // namespace

ShotJournal::ShotJournal(const RunFolder& folder, JournalSettings settings, posix::FileCalls calls)
    : folder_{folder},
      settings_{std::move(settings)},
      calls_{std::move(calls)},
      second_{settings_.second_places, calls_},
      disk_{calls_, folder.directory(), settings_.sync_within} {}

ShotJournal::~ShotJournal() {
  write_waiting();
}

Result<ShotJournal::Opened> ShotJournal::open(const RunFolder& folder, JournalSettings settings,
                                              posix::FileCalls calls) {
  auto bytes = folder.read(shot_log_name, any_size);
  if (!bytes) return fail(std::move(bytes.error()));
  auto text = std::move(*bytes).value_or("");
  auto earlier = read_earlier_log(text);
  if (!earlier) {
    for (auto& error : earlier.error()) error.file = fmt::format("{}/{}", folder.path(), shot_log_name);
    return fail(std::move(earlier.error()));
  }
  const bool cut = earlier->keep < text.size();
  text.resize(earlier->keep);
  const auto elsewhere = SecondPlace{settings.second_places, calls}.lines_beyond(text);
  take_over(elsewhere, *earlier);
  std::unique_ptr<ShotJournal> journal{new ShotJournal{folder, std::move(settings), std::move(calls)}};
  if (auto begun = journal->begin(std::move(text), cut, elsewhere); !begun)
    return fail(std::move(begun.error()));
  return Opened{std::move(journal), std::move(earlier->lines), std::move(earlier->damage),
                std::move(earlier->note)};
}

Result<void> ShotJournal::begin(std::string kept, bool cut, std::string_view elsewhere) {
  const int file = calls_.open(folder_.directory(), shot_log_name, O_WRONLY | O_APPEND | O_CREAT);
  int error = file < 0 ? errno : 0;
  file_ = std::make_shared<const posix::FileDescriptor>(file);
  if (error == 0 && cut && calls_.truncate(file, static_cast<off_t>(kept.size())) != 0) error = errno;
  if (error == 0 && calls_.sync(file) != 0) error = errno;
  if (error != 0) {
    return fail(error_at(
        {}, "run-folder",
        fmt::format("can't write {}/{}: {}", folder_.path(), shot_log_name, posix::error_words(error)),
        "a folder on a sound disk that can be written to; --state DIR names one"));
  }
  bytes_ = std::move(kept);
  written_ = bytes_.size();
  reserve();
  disk_.watch(file_number_, file_);
  bytes_ += elsewhere;
  if (waiting_bytes() > 0) write_waiting();
  if (waiting_bytes() == 0) second_.remove(bytes_);
  return {};
}

void ShotJournal::reserve() {
  const auto size = static_cast<off_t>(bytes_.size() + settings_.reserve_bytes);
  if (settings_.reserve_bytes == 0 || calls_.reserve(file_->get(), size) == 0) return;
  say(JournalNews::Kind::note,
      fmt::format("no room could be reserved for the shot log: {}", posix::error_words(errno)));
}

void ShotJournal::append(const shotlog::Line& line) {
  const auto text = shotlog::encode(line);
  if (waiting_bytes() + text.size() > settings_.most_waiting) return lose(line);
  bytes_ += text;
  if (!stuck_) return write_waiting();
  if (!second_.keeps_up()) return;  // tried again by poll
  second_.follow(bytes_);
  keep_elsewhere();
  if (!second_.keeps_up())
    say(JournalNews::Kind::alarm,
        "the second place of the shot log takes nothing either: its lines wait in memory");
}

void ShotJournal::lose(const shotlog::Line& line) {
  if (!lost_) {
    lost_ = Lost{line.seq, line.seq, 0};
    say(JournalNews::Kind::alarm,
        fmt::format("the shot log has no room left in memory either: lines from {} on are lost", line.seq));
  }
  lost_->last = line.seq;
  ++lost_->count;
}

void ShotJournal::write_waiting() {
  // What a short write left out follows later and completes the line; until then the file has a torn end,
  // which a restart knows how to cut.
  const auto before = written_;
  const int error =
      posix::write_all(calls_, file_->get(), bytes_.data() + written_, waiting_bytes(), written_);
  if (written_ > before) disk_.wrote();
  if (error != 0) return write_failed(error);
  if (stuck_) written_again();
}

void ShotJournal::write_failed(int error) {
  keep_elsewhere();
  if (std::exchange(stuck_, true)) return;
  say(JournalNews::Kind::alarm,
      fmt::format("the shot log can't be written: {}; the shooting goes on and its lines wait in {}",
                  posix::error_words(error), second_.keeps_up() ? second_.path() : "memory"));
}

void ShotJournal::keep_elsewhere() {
  if (!second_.keeps_up()) second_.keep(bytes_, written_);
}

void ShotJournal::written_again() {
  stuck_ = false;
  second_.remove(bytes_);
  const auto lost = std::exchange(lost_, std::nullopt);
  say(JournalNews::Kind::all_clear,
      lost ? fmt::format("the shot log is written again; {} lines, {} to {}, are lost", lost->count,
                         lost->first, lost->last)
           : std::string{"the shot log is written again, nothing is lost"});
}

void ShotJournal::phase_change() {
  disk_.hurry();
}

std::vector<JournalNews> ShotJournal::poll() {
  if (const auto result = disk_.take_result(); result && result->file == file_number_)
    sync_ended(result->error);
  if (polls_left_ && --*polls_left_ <= 0) start_anew("the disk still doesn't keep the shot log");
  if (stuck_) write_waiting();
  return std::exchange(news_, {});
}

void ShotJournal::sync_ended(int error) {
  constexpr int polls_between_files = 60;
  if (polls_left_) return;  // whatever is said of a file that failed once
  if (error == 0) {
    if (!std::exchange(proven_, true))
      say(JournalNews::Kind::all_clear, "the new shots.jsonl is on the disk");
    return;
  }
  // The system may have dropped the bytes and calls the file clean from now on (fsync(2)), so only a new file
  // can be trusted. One that never reached the disk isn't replaced at once: a dead disk would get one a
  // second.
  if (proven_)
    return start_anew(fmt::format("the disk didn't keep the shot log: {}", posix::error_words(error)));
  polls_left_ = polls_between_files;
  say(JournalNews::Kind::alarm,
      fmt::format("the disk doesn't keep the new shot log either: {}; save what you can when the run is over",
                  posix::error_words(error)));
}

void ShotJournal::say(JournalNews::Kind kind, std::string words) {
  news_.push_back({kind, std::move(words)});
}

}  // namespace noonfall::journal
