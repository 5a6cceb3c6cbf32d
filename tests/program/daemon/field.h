// A plan of four minutes, the daemon that shoots it in a folder of its own, and what its log says of it.
#pragma once

#include <algorithm>
#include <chrono>
#include <functional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "lib/shotlog/line.h"
#include "tests/drill/check_run.h"
#include "tests/drill/daemon_process.h"
#include "tests/program/run_program.h"

namespace noonfall::tests {

/// An invented field under the total eclipse of 2020-12-14, long past so that no rehearsal is ever near it.
/// "long" shoots a crescent (9 sets), and corona through 1 min 49 s of totality; "wide" a landscape (39 sets)
/// from C2 - 90 s to C3 + 40 s.
extern const std::string field_plan;

/// `text` with the one place that says `from` saying `to`. Throws when there isn't exactly one.
[[nodiscard]] std::string with(std::string text, std::string_view from, std::string_view to);

/// Asks again and again, for minutes; whether it came true.
[[nodiscard]] bool comes_true(const std::function<bool()>& what);

class Field {
 public:
  explicit Field(const std::string& program = NOONFALL_DAEMON)
      : program_{program}, daemon{program, folder()} {}

  [[nodiscard]] std::string folder() const { return scratch.path("run"); }
  [[nodiscard]] std::string plan(const std::string& text) const { return scratch.file("plan.yaml", text); }
  /// Simulated, from a minute and a half before C2.
  void begin(const std::string& text, const std::vector<std::string>& more = {});
  /// A start with words of its own to its end.
  [[nodiscard]] Ran run(const std::string& arguments) const;
  [[nodiscard]] Ran tell(const std::string& words) const { return run("--tell " + words); }

  /// The log, line by line; what is being written right now isn't among it.
  [[nodiscard]] std::vector<shotlog::Line> lines() const;
  template <class Entry>
  [[nodiscard]] std::vector<Entry> all() const {
    std::vector<Entry> found;
    for (const auto& line : lines()) {
      if (const auto* entry = std::get_if<Entry>(&line.entry)) found.push_back(*entry);
    }
    return found;
  }
  template <class Entry, class Is>
  [[nodiscard]] std::ptrdiff_t count(Is is) const {
    const auto entries = all<Entry>();
    return std::count_if(entries.begin(), entries.end(), is);
  }
  [[nodiscard]] bool noted(std::string_view words) const;
  [[nodiscard]] bool ended(shotlog::RunEnd how) const;
  [[nodiscard]] std::ptrdiff_t fired(std::string_view step) const;
  [[nodiscard]] bool comes_to_fire(std::string_view step, int frames = 1) const;
  /// Everything printed by the daemon and by those before it.
  [[nodiscard]] std::string printed() const { return text_of_file(folder() + ".out"); }
  [[nodiscard]] std::string file(const std::string& name) const {
    return text_of_file(folder() + "/" + name);
  }

  /// The exit code, waited for; -1 when it doesn't end.
  [[nodiscard]] int exit();
  /// What the log and the bodies' memory contradict each other in, one promise a line.
  [[nodiscard]] std::string broken(const std::vector<std::string>& snapshots = {}) const;

  ScratchFolder scratch;
  std::string speed = "40";

 private:
  std::string program_;

 public:
  drill::DaemonProcess daemon;
};

}  // namespace noonfall::tests
