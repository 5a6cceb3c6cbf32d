// When a worker counts as hung, and how soon a new one is started.
#pragma once

#include <optional>
#include <string>

#include "daemon/worker/words.h"
#include "lib/time/boot_clock.h"

namespace noonfall::worker {

/// To be asked at least each second. When it wasn't, it is we who stood still (a suspend, a stopped process),
/// and the worker's silence means nothing: patience begins anew.
class LineWatch {
 public:
  explicit LineWatch(BootTime now) : heard_{now}, asked_{now} {}

  void heard(BootTime now) { heard_ = now; }
  void heard(const Alive& alive) { alive_ = alive; }

  /// Why the worker counts as hung, in words that follow "the worker".
  [[nodiscard]] std::optional<std::string> why_hung(BootTime now);

 private:
  BootTime heard_;
  BootTime asked_;
  Alive alive_;
};

/// The pause before each new worker: none, 1 s, 2 s, then 5 s; from the start again once one has lived for
/// 10 s.
class RestartPause {
 public:
  void attached(BootTime now) { attached_ = now; }
  [[nodiscard]] Duration after_death(BootTime now);

 private:
  std::optional<BootTime> attached_;
  int deaths_ = 0;  // in a row
};

}  // namespace noonfall::worker
