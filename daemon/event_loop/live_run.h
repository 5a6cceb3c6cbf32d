// The live run: the core, stepped when it asks to be or when something comes in, between the clock, the
// workers, the log, the operator and the screen.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/clock/clock_watch.h"
#include "daemon/journal/folder_watch.h"
#include "daemon/operator/answer.h"
#include "daemon/start/open_run.h"
#include "daemon/status/event_lines.h"
#include "daemon/status/status_ledger.h"
#include "daemon/status/status_view.h"
#include "daemon/voice/voice.h"
#include "daemon/worker/worker_link.h"
#include "lib/run/run.h"
#include "lib/time/zone.h"

namespace noonfall::event_loop {

/// What a run lives among: an event loop on the day, a test in virtual time. All outlives the run.
struct Surroundings {
  clock::ClockWatch& clock;  // whose changes clock_changed() is to be told
  status::StatusView& view;
  /// For a rig that isn't by hand.
  std::function<std::unique_ptr<worker::RigLink>(std::size_t rig, worker::LinkCallbacks)> link_to;
  std::function<void(std::optional<BootTime>)> wake_at;  // wake() is to be called then; none: not at all
  std::function<Result<void>()> take_commands;           // in the run's folder, as it is now, each for obey()
  std::function<void()> bodies_left;  // no worker is there any more, nor needs what only they used
  std::function<void()> over;         // nothing is left to do
  voice::Voice* voice = nullptr;      // none: words are shown; it may be gone before the run
  /// Switches the power of this body; none: nobody can.
  std::function<void(std::size_t rig)> cycle_power = {};
  std::function<void()> changed = {};                          // what is shown isn't so any more: show() soon
  std::function<void(const status::StatusFacts&)> shown = {};  // beside the view
  std::string boot_id = {};
  LocalClock local_clock = {};
};

/// Of one thread; nothing in it blocks or waits. It is over when the plan is done or the operator said stop,
/// with the workers ended; on SIGTERM as soon as every camera filter was called back on, with the workers
/// left to go on with what they hold.
class LiveRun {
 public:
  LiveRun(start::OpenedRun opened, Surroundings surroundings);

  /// Where commands can't be taken the run goes on all the same.
  void start();
  void wake() { step_core(); }
  void each_second();
  /// The run as it stands, on the view and to whoever else shows it.
  void show();
  /// For the log, with the next step.
  void note(std::string words) { inputs_.emplace_back(run::Remark{std::move(words)}); }
  /// Typed at the view's terminal.
  void take_keys(std::string_view bytes);
  [[nodiscard]] control::Answer obey(const std::string& words);
  /// SIGINT, SIGTERM or SIGHUP.
  void on_signal(int signal);
  /// Of the voice.
  void voice_news(run::Input news) { take(std::move(news)); }
  /// Something that went wrong around it.
  void remark(std::string words) { take(run::Remark{std::move(words)}); }
  void clock_changed(const run::ClockChange& change, const ClockMapping& mapping);

  [[nodiscard]] const journal::RunFolder& folder() const { return *opened_.folder; }
  /// Nothing is left to go on with.
  [[nodiscard]] bool plan_is_done() const { return ledger_.account().ended == shotlog::RunEnd::done; }

 private:
  /// The core's replies to the requests it took.
  std::vector<std::string> take(run::Input input);
  std::vector<std::string> step_core();
  void write(const shotlog::Line& line);
  void send(run::ToOneRig to);
  void announce(const run::Announcement& words);
  void arm(std::optional<Utc> wake);
  void open_commands();
  void look_after_folder();
  void disk_news(const journal::JournalNews& news);
  [[nodiscard]] std::unique_ptr<worker::RigLink> link_for(std::size_t rig);
  [[nodiscard]] shotlog::ClockStamp stamp(const ClockMapping& mapping) const;
  void end();
  void leave();

  start::OpenedRun opened_;
  Surroundings surroundings_;
  clock::ClockWatch& clock_;
  status::StatusView& view_;
  run::Run run_;
  std::optional<journal::FolderWatch> folder_watch_;
  std::vector<std::unique_ptr<worker::RigLink>> links_;  // by rig; none by hand
  status::StatusLedger ledger_;
  status::EventLines events_;
  std::vector<run::Input> inputs_;  // for the core's next step
  bool stepping_ = false;
  bool ending_ = false;   // told to
  bool leaving_ = false;  // told to go, the run unfinished
  bool ended_ = false;    // by itself: nothing is left to do
};

}  // namespace noonfall::event_loop
