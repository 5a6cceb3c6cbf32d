// The daemon's end of the line by hand, over a real noonfall-camera process.
#pragma once

#include <chrono>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "daemon/posix/file_descriptor.h"
#include "daemon/posix/line_splitter.h"
#include "daemon/posix/process.h"
#include "daemon/worker/words.h"
#include "tests/program/run_program.h"

namespace noonfall::tests {

/// How long a test waits for what has to come. Nothing is concluded from how long it took.
inline constexpr std::chrono::seconds patience{30};

/// Plan time of these tests: noon of the day, at the test's start.
[[nodiscard]] Utc plan_noon();
[[nodiscard]] ClockMapping clock_from_now(double speed = 1);

/// `count` frames of 1/500 s, the first due at `due`, the others half a second apart, each at most `patience`
/// late.
[[nodiscard]] order::Order order_at(std::int64_t id, Utc due, int count = 1,
                                    Duration late = std::chrono::hours{1});

/// A run folder whose path is longer than a socket's address may be. At its end no worker may have said
/// anything on stderr: a sanitizer would, and workers inherit no options that make it more than words.
class RunFolder {
 public:
  RunFolder();
  ~RunFolder();
  RunFolder(const RunFolder&) = delete;
  RunFolder& operator=(const RunFolder&) = delete;
  [[nodiscard]] const std::string& path() const { return path_; }
  [[nodiscard]] std::string path(const std::string& name) const { return path_ + "/" + name; }

 private:
  ScratchFolder scratch_;
  std::string path_;
};

/// A worker process of rig 0, killed with this.
class Worker {
 public:
  explicit Worker(const RunFolder& folder, std::vector<std::string> options = {});
  ~Worker();
  Worker(const Worker&) = delete;
  Worker& operator=(const Worker&) = delete;

  [[nodiscard]] int pid() const { return process_->pid(); }
  void signal(int number) const { process_->signal(number); }
  [[nodiscard]] bool has_ended(std::chrono::milliseconds wait = patience) const;
  /// Waits for its end: "ended with exit code 0".
  [[nodiscard]] std::string end() const;

 private:
  std::optional<posix::Process> process_;
};

/// One connection; lines as values.
class FakeDaemon {
 public:
  explicit FakeDaemon(const RunFolder& folder);

  void send(const std::string& bytes);
  void say(const worker::ToWorker& words);
  /// Hello and clock, and the worker's hello.
  worker::WorkerHello greet(const ClockMapping& clock = clock_from_now());

  /// The next words of kind T; others are passed over. Fails the test when none come.
  template <class T>
  T next() {
    for (;;) {
      auto words = next_words();
      if (auto* wanted = std::get_if<T>(&words)) return *wanted;
    }
  }
  /// Reports up to and including the end of this order.
  std::vector<worker::NumberedReport> reports_of(std::int64_t order);
  /// What the worker says before it closes the line.
  std::vector<std::string> last_words();

 private:
  worker::FromWorker next_words();
  /// The next line; none when the line is closed.
  std::optional<std::string> next_line();

  posix::FileDescriptor socket_;
  posix::LineSplitter lines_{worker::longest_line};
};

/// The frames among reports.
[[nodiscard]] std::vector<order::FrameDone> frames_of(const std::vector<worker::NumberedReport>& reports);

}  // namespace noonfall::tests
