#include <fcntl.h>
#include <signal.h>
#include <unistd.h>

#include <cerrno>
#include <initializer_list>

#include <fmt/format.h>

#include "daemon/diagnostic/log.h"
#include "daemon/posix/boot_time.h"
#include "daemon/posix/error_words.h"
#include "daemon/posix/unix_socket.h"
#include "daemon/worker/worker_link.h"

namespace noonfall::worker {
namespace {

using namespace std::chrono_literals;
using boost::system::error_code;

constexpr Duration replace_patience = 5s;

/// How a worker is started for a rig.
posix::Command command_of(const WorkerSetup& setup) {
  std::vector<std::string> arguments{"--socket-dir", setup.folder, "--rig", fmt::format("{}", setup.rig)};
  const auto say = [&](std::initializer_list<std::string> words) {
    arguments.insert(arguments.end(), words);
  };
  const auto files = std::string{body::to_text(setup.traits.files)};
  if (setup.serial.empty()) {
    say({"--simulate", setup.profile, "--files", files, "--seed", fmt::format("{}", setup.traits.seed),
         "--detune", fmt::format("{}", setup.traits.detune)});
  } else {
    say({"--serial", setup.serial, "--profile", setup.profile, "--files", files});
  }
  const auto add = [&](const char* option, const std::string& file) {
    if (!file.empty()) say({option, file});
  };
  add("--spare", setup.spare);
  add("--faults", setup.faults);
  add("--record", setup.record);
  add("--sky", setup.sky);
  add("--lock", setup.lock);
  add("--log-level", diagnostic::level());
  const auto own = [&](const char* what) {
    return fmt::format("{}/rig-{}.{}", setup.folder, setup.rig, what);
  };
  return {setup.executable, std::move(arguments), own("home"), own("stderr"), setup.variables};
}

}  // namespace

void WorkerLink::reach_or_spawn() {
  if (!reach()) spawn();
}

bool WorkerLink::reach() {
  auto socket = posix::connect_in(setup_.folder, socket_name(setup_.rig));
  if (!socket.is_open()) return false;
  const int pid = posix::peer_pid(socket.get());
  if (!process_) {
    process_ = posix::Process::find(pid);
    if (!process_) return false;
    if (!watch_process()) {
      process_.reset();
      return false;
    }
  }
  // Ours will notice that another one listens, and end.
  if (process_->pid() != pid) return false;
  state_ = State::starting;
  open_line(std::move(socket));
  return true;
}

void WorkerLink::spawn() {
  auto started = posix::Process::start(command_of(setup_));
  if (!started) return pause(on_one_line(started.error().front()));
  process_ = std::move(*started);
  if (!watch_process()) {
    process_->signal(SIGKILL);
    process_.reset();
    return pause("can't be watched: " + posix::error_words());
  }
  spdlog::info("rig {}: process {} was started", setup_.rig, process_->pid());
  fresh_ = true;
  state_ = State::starting;
}

/// Whether it is watched: a system short of descriptors has none for this.
bool WorkerLink::watch_process() {
  watch_ = LineWatch{posix::boot_now()};
  error_code failed;
  process_end_.close(failed);
  const int end = ::fcntl(process_->descriptor(), F_DUPFD_CLOEXEC, 0);
  if (end < 0) return false;
  process_end_.assign(end, failed);
  if (failed) {
    ::close(end);
    errno = failed.value();
    return false;
  }
  process_end_.async_wait(boost::asio::posix::stream_descriptor::wait_read,
                          [this, here = std::weak_ptr{here_}](error_code error) {
                            if (here.expired() || error) return;
                            process_ended();
                          });
  return true;
}

void WorkerLink::process_ended() {
  if (line_) {
    const auto line = std::move(line_);
    line->read_rest();
    line->close();
  }
  auto how = to_text(process_->end());
  spdlog::info("rig {}: process {} {}", setup_.rig, process_->pid(), how);
  process_.reset();
  fresh_ = false;
  desk_.worker_lost();
  if (done_) return finish();
  const bool on_purpose = state_ == State::ending && why_ending_.empty();
  if (on_purpose) return reach_or_spawn();
  pause(why_ending_.empty() ? std::move(how) : std::exchange(why_ending_, {}));
}

/// Tells the core, and waits before the next try, at first not at all.
void WorkerLink::pause(const std::string& why) {
  const auto now = posix::boot_now();
  resume_at_ = now + restart_pause_.after_death(now);
  state_ = State::pausing;
  if (!std::exchange(called_down_, true)) {
    tell(order::Report{order::RigState{setup_.rig, false, clock_.now(), fmt::format("the worker {}", why)}});
  }
  if (state_ == State::pausing && now >= resume_at_) reach_or_spawn();
}

void WorkerLink::kill(std::string why) {
  why_ending_ = std::move(why);
  give_up_at_ = posix::boot_now();
  state_ = State::ending;
  if (process_) process_->signal(SIGKILL);
}

/// A living worker that isn't ours to use: it may finish its frame.
void WorkerLink::replace(const std::string& why) {
  callbacks_.on_note(fmt::format("a worker found running {}: it is told to quit", why));
  give_up_at_ = posix::boot_now() + replace_patience;
  state_ = State::ending;
  if (line_) line_->say(Quit{});
  process_->signal(SIGTERM);
}

}  // namespace noonfall::worker
