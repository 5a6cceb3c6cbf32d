#include "daemon/event_loop/event_loop.h"

#include <cerrno>
#include <csignal>
#include <filesystem>
#include <system_error>
#include <utility>

#include <unistd.h>

#include <fmt/format.h>
#include <boost/asio/buffer.hpp>
#include <boost/asio/post.hpp>

#include "daemon/clock/read_clocks.h"
#include "daemon/diagnostic/log.h"
#include "daemon/service/notify.h"
#include "daemon/voice/alsa_sink.h"
#include "daemon/wired_body/wired_bodies.h"
#include "lib/base/plain_text.h"

namespace noonfall::event_loop {
namespace {

using boost::system::error_code;

std::optional<clock::CriticalSpan> critical_span(const timeline::Timeline& timeline) {
  const auto& c2 = timeline.circumstances.at(contacts::ContactName::c2);
  const auto& c3 = timeline.circumstances.at(contacts::ContactName::c3);
  if (!c2 || !c3) return std::nullopt;
  return clock::critical_span(c2->utc, c3->utc);
}

/// The mapping of the run's log when it is of this boot.
std::optional<ClockMapping> mapping_before(const start::OpenedRun& opened, const std::string& boot_id) {
  if (boot_id.empty() || !opened.before || !opened.before->stamp || opened.before->stamp->boot_id != boot_id)
    return std::nullopt;
  return opened.before->stamp->mapping;
}

clock::ClockWatchSettings clock_settings(const start::OpenedRun& opened, const LoopSettings& settings) {
  clock::ClockWatchSettings out;
  auto& clock = out.clock;
  clock.sanity.built = settings.built;
  clock.critical = critical_span(opened.timeline);
  const auto before = mapping_before(opened, settings.boot_id);
  const auto& mid = opened.timeline.circumstances.at(contacts::ContactName::mid);
  if (opened.settings.mode == shotlog::Mode::event && mid) clock.sanity.eclipse = mid->utc;
  if (opened.settings.speed != 1) {
    const auto now = clock::read_clocks();
    const auto utc = opened.before ? std::max(opened.before->last_utc, now.realtime) : now.realtime;
    clock.simulated = before.value_or(ClockMapping{now.boot, utc, opened.settings.speed});
  } else if (before) {
    clock.kept = clock::KeptClock{*before, opened.before->clock, before->boot_at(opened.before->last_utc),
                                  opened.before->stamp->readings};
  }
  return out;
}

/// What goes wrong with a body is among the run's notes.
std::vector<std::optional<worker::WorkerSetup>> worker_setups(start::OpenedRun& opened,
                                                              const RigPrograms& programs) {
  std::vector<std::optional<worker::WorkerSetup>> setups(opened.timeline.rigs.size());
  for (std::size_t n = 0; n < setups.size(); ++n) {
    if (!opened.timeline.rigs[n].by_hand) setups[n] = worker_setup(opened, programs, n);
  }
  return setups;
}

}  // namespace

EventLoop::EventLoop(start::OpenedRun opened, LoopSettings settings)
    : power_command_{settings.power_command},
      workers_{worker_setups(opened, settings.programs)},
      clock_{io_, clock_settings(opened, settings),
             [this](const run::ClockChange& change, const ClockMapping& mapping) {
               live_->clock_changed(change, mapping);
             }},
      view_{STDOUT_FILENO},
      keys_{io_},
      timer_{io_, clock::SystemTimer::Of::boot_time, [this] { live_->wake(); }},
      second_{io_},
      soon_{io_},
      signals_{io_, SIGINT, SIGTERM, SIGHUP} {
  if (!timer_.is_open()) throw std::system_error{errno, std::generic_category(), "no timer for the plan"};
  if (view_.is_terminal() && ::isatty(STDERR_FILENO) == 1)
    diagnostic::show_in([this](std::string line) { view_.say(std::move(line)); });
  for (std::size_t n = 0; n < opened.timeline.rigs.size(); ++n)
    rigs_.push_back({opened.timeline.rigs[n].name, opened.serials[n]});
  if (settings.voice.speaks.value_or(opened.settings.mode != shotlog::Mode::simulated) &&
      opened.settings.speed == 1)
    start_voice(opened, settings.voice);
  live_.emplace(std::move(opened), surroundings(settings));
  page_at_ = std::move(settings.page);
  broker_ = std::move(settings.broker);
}

EventLoop::~EventLoop() {
  diagnostic::show_in({});
  if (key_input_) (void)keys_.release();
}

void EventLoop::start_voice(const start::OpenedRun& opened, const VoiceOptions& choice) {
  voice::VoiceSettings settings{.folder = opened.folder->path() + "/voice",
                                .language = opened.timeline.language,
                                .command = choice.command,
                                .delay = choice.delay};
  if (choice.command.empty()) settings.sink = voice::alsa_sink(choice.device);
  voice_.emplace(std::move(settings), [this](run::Input news) {
    boost::asio::post(io_, [this, news = std::move(news)]() mutable { live_->voice_news(std::move(news)); });
  });
}

Surroundings EventLoop::surroundings(LoopSettings& settings) {
  return {.clock = clock_,
          .view = view_,
          .link_to =
              [this](std::size_t rig, worker::LinkCallbacks callbacks) {
                return std::make_unique<worker::WorkerLink>(io_, std::move(*workers_[rig]),
                                                            std::move(callbacks));
              },
          .wake_at = [this](std::optional<BootTime> when) { when ? timer_.set(*when) : timer_.clear(); },
          .take_commands = [this] { return take_commands(); },
          .bodies_left = [this] { wired_body::unplug_all(live_->folder().path()); },
          .over = [this] { boost::asio::post(io_, [this] { io_.stop(); }); },
          .voice = voice_ ? &*voice_ : nullptr,
          .cycle_power = [this](std::size_t rig) { cycle_power(rig); },
          .changed = [this] { show_soon(); },
          .shown =
              [this](const status::StatusFacts& facts) {
                if (page_) page_->show(facts);
                if (publisher_) publisher_->show(facts);
              },
          .boot_id = std::move(settings.boot_id),
          .local_clock = std::move(settings.local_clock)};
}

void EventLoop::cycle_power(std::size_t rig) {
  auto arguments = power_command_;
  const auto program = arguments.front();
  arguments.erase(arguments.begin());
  arguments.push_back(rigs_[rig].name);
  arguments.push_back(rigs_[rig].serial);
  auto started =
      posix::Process::start({program, std::move(arguments), live_->folder().path() + "/power-home", {}});
  if (started) return power_commands_.push_back(std::move(*started));
  boost::asio::post(io_, [this, why = on_one_line(started.error().front())] { live_->remark(why); });
}

void EventLoop::look_after_power_commands() {
  std::erase_if(power_commands_, [this](const posix::Process& command) {
    if (!command.has_ended({})) return false;
    if (const auto end = command.end(); end.exit != 0)
      live_->remark("the command for the power of a body " + to_text(end));
    return true;
  });
}

bool EventLoop::run() {
  wait_for_signals();
  timer_.start();
  live_->start();
  service::ready();
  begin_keys();
  // After what the run itself needs: descriptors may be few.
  if (page_at_) open_page(*page_at_);
  if (broker_) open_publisher(*broker_);
  wait_for_second();
  io_.run();
  service::stopping();
  return live_->plan_is_done();
}

Result<void> EventLoop::take_commands() {
  commands_.reset();  // before, since it takes its file away
  auto commands = control::CommandSocket::open(
      io_, live_->folder(), [this](const std::string& words) { return live_->obey(words); });
  if (!commands) return fail(std::move(commands.error()));
  commands_ = std::move(*commands);
  return {};
}

void EventLoop::wait_for_second() {
  second_.expires_after(std::chrono::seconds{1});
  second_.async_wait([this](error_code error) {
    if (error) return;
    live_->each_second();
    look_after_power_commands();
    service::alive();
    wait_for_second();
  });
}

/// Nobody's page keeps a run from going on. Who may read this terminal may command; others may read what goes
/// into a file.
void EventLoop::open_page(const page::PageAddress& address) {
  auto token = page::page_token(live_->folder());
  auto obey = [this](std::string words, page::Reply reply) {
    boost::asio::post(
        io_, [this, words = std::move(words), reply = std::move(reply)] { reply(live_->obey(words)); });
  };
  auto opened = page::PageServer::open(address, token.value_or(std::string{}), std::move(obey));
  if (!opened) return live_->note(on_one_line(opened.error().front()));
  page_ = std::move(*opened);
  if (!token) return view_.say(fmt::format("Watch it, without commands: {}", page_->address()));
  view_.say(view_.is_terminal() ? fmt::format("Watch it: {}#token={}", page_->address(), *token)
                                : fmt::format("Watch it: {}#token=… as in {}/{}", page_->address(),
                                              plain_line(live_->folder().path()), page::token_name));
}

void EventLoop::open_publisher(const publish::Broker& broker) {
  char host[HOST_NAME_MAX + 1] = "";
  ::gethostname(host, HOST_NAME_MAX);
  const auto run = std::filesystem::path{live_->folder().path()}.filename().string();
  auto opened = publish::Publisher::open(broker, publish::topic_of(host, run));
  if (!opened) return live_->note(on_one_line(opened.error().front()));
  publisher_ = std::move(*opened);
}

/// At most ten times a second, however much happens.
void EventLoop::show_soon() {
  if (std::exchange(showing_soon_, true)) return;
  soon_.expires_after(std::chrono::milliseconds{100});
  soon_.async_wait([this](error_code error) {
    if (error) return;
    showing_soon_ = false;
    live_->show();
  });
}

void EventLoop::begin_keys() {
  if (!view_.is_terminal()) return;
  auto input = status::KeyInput::open(STDIN_FILENO);
  if (!input) return;
  key_input_.emplace(std::move(*input));
  keys_.assign(key_input_->descriptor());
  wait_for_keys();
}

/// Until the terminal goes away.
void EventLoop::wait_for_keys() {
  keys_.async_read_some(boost::asio::buffer(typed_), [this](error_code error, std::size_t size) {
    if (error) return;
    live_->take_keys({typed_.data(), size});
    wait_for_keys();
  });
}

void EventLoop::wait_for_signals() {
  signals_.async_wait([this](error_code error, int signal) {
    if (error) return;
    wait_for_signals();
    live_->on_signal(signal);
  });
}

}  // namespace noonfall::event_loop
