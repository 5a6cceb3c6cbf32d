#include "daemon/worker/worker_link.h"

#include <signal.h>

#include <fmt/format.h>

#include "daemon/diagnostic/log.h"
#include "daemon/posix/boot_time.h"
#include "daemon/posix/file_descriptor.h"
#include "daemon/worker/codec.h"
#include "lib/base/match.h"

namespace noonfall::worker {
namespace {

using namespace std::chrono_literals;
using boost::system::error_code;

constexpr auto watch_period = 250ms;
constexpr auto reach_period = 20ms;
constexpr Duration shut_down_patience = 20s;
constexpr Duration start_patience = 1s;   // when shutting down: with no order yet there is no frame to finish
constexpr std::int64_t most_kept = 1000;  // reports a worker keeps for a log that can't be written

std::optional<std::int64_t> id_of_order(const order::ToRig& message) {
  const auto* order = std::get_if<order::Order>(&message);
  return order == nullptr ? std::nullopt : std::optional{order->id};
}

/// Empty for an order that is too long for one.
std::string line_of(order::ToRig message) {
  const auto* order = std::get_if<order::Order>(&message);
  const bool is_order = order != nullptr;
  if (is_order && order->frames.size() > most_frames) return {};
  auto line = encode(std::visit([](auto& what) { return ToWorker{std::move(what)}; }, message));
  return is_order && line.size() > longest_line ? std::string{} : line;
}

}  // namespace

WorkerLink::WorkerLink(boost::asio::io_context& loop, WorkerSetup setup, LinkCallbacks callbacks)
    : loop_{loop},
      setup_{std::move(setup)},
      callbacks_{std::move(callbacks)},
      desk_{setup_.rig},
      watch_{posix::boot_now()},
      timer_{loop},
      process_end_{loop} {}

WorkerLink::~WorkerLink() {
  if (line_) line_->close();
}

void WorkerLink::set_clock(const ClockMapping& mapping) {
  clock_.set(mapping);
  if (line_) line_->say(mapping);
}

void WorkerLink::set_next_due(Utc at) {
  const auto before = std::exchange(next_due_, NextDue{at});
  if (before != next_due_ && introduced_ && line_) line_->say(*next_due_);
}

void WorkerLink::set_may_look(bool allowed) {
  const auto before = std::exchange(may_look_, allowed);
  if (before != may_look_ && introduced_ && line_) line_->say(MayLook{allowed});
}

void WorkerLink::start() {
  reach_or_spawn();
  schedule_tick();
}

void WorkerLink::send(order::ToRig message) {
  const auto* recover = std::get_if<order::Recover>(&message);
  if (recover != nullptr && recover->remedy == order::Remedy::restart_worker) {
    if (state_ == State::attached || state_ == State::starting) kill("was to be started anew");
    return;
  }
  desk_.give(std::move(message));
  say_waiting();
}

void WorkerLink::shut_down(std::function<void()> done) {
  done_ = std::move(done);
  give_up_at_ = posix::boot_now() + (fresh_ && !line_ ? start_patience : shut_down_patience);
  if (!process_) return finish();
  state_ = State::ending;
  if (line_) {
    line_->say(Quit{});
  } else {
    process_->signal(SIGTERM);
  }
}

LinkStatus WorkerLink::status() const {
  return {state_, process_ ? std::optional{process_->pid()} : std::nullopt};
}

void WorkerLink::schedule_tick() {
  timer_.expires_after(state_ == State::starting && !line_ ? reach_period : watch_period);
  timer_.async_wait([this, here = std::weak_ptr{here_}](error_code error) {
    if (here.expired() || error) return;
    tick();
  });
}

void WorkerLink::tick() {
  const auto now = posix::boot_now();
  if (state_ == State::pausing && now >= resume_at_) reach_or_spawn();
  if (state_ == State::starting && !line_) (void)reach();
  if (process_) look_after_worker(now);
  acknowledge();
  tell(desk_.expire(clock_.now()));
  if (state_ != State::resting) schedule_tick();
}

void WorkerLink::look_after_worker(BootTime now) {
  if (state_ == State::ending) {
    if (now >= give_up_at_) process_->signal(SIGKILL);
    return;
  }
  if (const auto why = watch_.why_hung(now)) kill(*why);
}

void WorkerLink::open_line(posix::FileDescriptor socket) {
  const auto guarded = [this](auto then) {
    return [then, here = std::weak_ptr{here_}](const auto&... words) {
      if (!here.expired()) then(words...);
    };
  };
  line_ = std::make_shared<WorkerLine>(
      loop_, std::move(socket),
      WorkerLine::Events{guarded([this](const std::string& line) { hear(line); }),
                         guarded([this] { line_broke(); }),
                         guarded([this](const std::string& why) { kill("spoke garbage: " + why); })});
  introduced_ = false;
  line_->say(DaemonHello{});
  line_->say(clock_.mapping());
  line_->begin();
}

/// The process lives: either it ends in a moment, or it can be reached again.
void WorkerLink::line_broke() {
  line_.reset();
  if (state_ == State::attached) state_ = State::starting;
}

void WorkerLink::hear(const std::string& text) {
  const auto now = posix::boot_now();
  watch_.heard(now);
  spdlog::debug("from rig {}: {}", setup_.rig, text);
  const auto words = decode_from_worker(text);
  if (!words) {
    if (line_) line_->close();
    return kill("spoke garbage: " + on_one_line(words.error().front()));
  }
  std::visit(
      Match{[&](const WorkerHello& hello) { hear(hello); },
            [&](const NumberedReport& report) { hear(report); },
            [&](const Alive& alive) {
              watch_.heard(alive);
              levels_ = alive.levels;
            },
            [&](const Note& note) { callbacks_.on_note(note.words); },
            [&](const Refusal& refusal) { hear(refusal); }, [&](const Picture& picture) { hear(picture); }},
      *words);
}

void WorkerLink::hear(const WorkerHello& hello) {
  if (state_ != State::starting) return;
  if (hello.version != protocol_version) {
    return replace(fmt::format("speaks version {} of the protocol", hello.version));
  }
  if (hello.body != setup_.body || hello.rig != setup_.rig) {
    return replace(fmt::format("serves another body ({}, {})", hello.body.profile, hello.body.serial));
  }
  introduced_ = true;
  if (next_due_) line_->say(*next_due_);
  if (may_look_) line_->say(MayLook{true});
  state_ = State::attached;
  heard_ = acknowledged_ = hello.first_report - 1;
  const auto attached = desk_.attached(hello);
  const auto fresh = std::exchange(fresh_, false);
  restart_pause_.attached(posix::boot_now());
  if (!fresh && !called_down_) {
    callbacks_.on_note(fmt::format("its worker (process {}) is on the line again, orders held: {}", hello.pid,
                                   attached.held.size()));
  }
  tell(attached);
  if (fresh || called_down_)
    tell(order::Report{order::RigState{setup_.rig, true, clock_.now(), "its worker is on the line"}});
  called_down_ = false;
  say_waiting();
}

/// Those of a worker that isn't ours to use are no news of our rig.
void WorkerLink::hear(const NumberedReport& report) {
  if (!introduced_) return;
  if (desk_.is_new(report)) tell(report.report);
  heard_ = report.number;
  acknowledge();
}

void WorkerLink::hear(const Picture& picture) {
  if (!introduced_ || picture.frame.rig != setup_.rig) return;
  picture_ = std::make_shared<const Picture>(picture);
  tell(run::PictureSeen{picture.frame, picture.opened, picture.exposure, picture.seen});
}

void WorkerLink::acknowledge() {
  const auto safe = callbacks_.is_safe() ? heard_ : heard_ - most_kept;
  if (!line_ || !introduced_ || safe <= acknowledged_) return;
  acknowledged_ = safe;
  line_->say(Acknowledge{safe});
}

void WorkerLink::hear(const Refusal& refusal) {
  if (state_ == State::starting) return replace("doesn't talk to us: " + refusal.words);
  callbacks_.on_note(refusal.words);
  if (refusal.order) tell(desk_.refused(*refusal.order, refusal.words, clock_.now()));
}

void WorkerLink::say_waiting() {
  if (state_ != State::attached || !line_) return;
  for (auto& message : desk_.take_waiting()) {
    const auto order = id_of_order(message);
    const auto line = line_of(std::move(message));
    if (order && line.empty()) {
      tell(desk_.refused(*order, "it is too long for one line", clock_.now()));
      continue;
    }
    if (!line_) return;
    spdlog::debug("to rig {}: {}", setup_.rig, line);
    line_->say_line(line);
  }
}

void WorkerLink::tell(const std::vector<order::Report>& reports) {
  for (const auto& report : reports) tell(run::Input{report});
}

void WorkerLink::finish() {
  state_ = State::resting;
  if (const auto done = std::exchange(done_, nullptr)) done();
}

}  // namespace noonfall::worker
