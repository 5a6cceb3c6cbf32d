#include "daemon/event_loop/live_run.h"

#include <algorithm>
#include <csignal>
#include <filesystem>
#include <iterator>
#include <utility>

#include <unistd.h>

#include <fmt/format.h>

#include "daemon/clock/read_clocks.h"
#include "daemon/worker/wired_bodies.h"
#include "lib/shotlog/command.h"

namespace noonfall::event_loop {
namespace {

using namespace std::chrono_literals;
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

clock::ClockWatchSettings clock_settings(const start::OpenedRun& opened, const LiveSettings& settings) {
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

run::Run make_run(const start::OpenedRun& opened, shotlog::ClockState clock) {
  if (!opened.before) return {opened.timeline, opened.facts, clock};
  return {opened.timeline, opened.facts, clock, *opened.before};
}

/// On one line: who asked sees what was typed.
std::string refusal(const Diagnostics& errors) {
  std::string words;
  for (const auto& error : errors) words += (words.empty() ? "" : "; ") + on_one_line(error);
  return words;
}

/// What a power cut must not take.
bool ends_a_phase(const shotlog::Entry& entry) {
  return !std::holds_alternative<shotlog::Intent>(entry) &&
         !std::holds_alternative<shotlog::Outcome>(entry) && !std::holds_alternative<shotlog::Skip>(entry);
}

}  // namespace

LiveRun::LiveRun(boost::asio::io_context& io, start::OpenedRun opened, LiveSettings settings)
    : io_{io},
      opened_{std::move(opened)},
      settings_{std::move(settings)},
      clock_{io, clock_settings(opened_, settings_),
             [this](const run::ClockChange& change, const ClockMapping& mapping) {
               clock_changed(change, mapping);
             }},
      run_{make_run(opened_, clock_.state())},
      timer_{io, [this] { step_core(); }},
      second_{io},
      signals_{io, SIGINT, SIGTERM, SIGHUP},
      ledger_{opened_.timeline, opened_.settings.mode, opened_.before.value_or(shotlog::Account{})},
      view_{STDOUT_FILENO} {
  for (std::size_t n = 0; n < opened_.timeline.rigs.size(); ++n) links_.push_back(link_for(n));
}

void LiveRun::start() {
  *opened_.on_news = [this](const journal::JournalNews& news) { disk_news(news); };
  folder_watch_.emplace(*opened_.folder, *opened_.journal);
  open_commands();
  for (auto& words : opened_.alarms) disk_news({journal::JournalNews::Kind::alarm, std::move(words)});
  for (auto& note : opened_.notes) inputs_.emplace_back(run::Remark{std::move(note)});
  const auto mapping = clock_.mapping();
  inputs_.emplace_back(
      run::ClockChange{clock_.state(), "the daemon started; " + clock_.source_words(), stamp(mapping)});
  wait_for_signals();
  timer_.start();
  step_core();
  clock_.start();
  for (auto& link : links_) {
    if (!link) continue;
    link->set_clock(mapping);
    link->start();
  }
  each_second();
}

void LiveRun::open_commands() {
  commands_.reset();  // before, since it takes its file away
  auto commands = control::CommandSocket::open(io_, *opened_.folder,
                                               [this](const std::string& words) { return carry_out(words); });
  if (commands) {
    commands_ = std::move(*commands);
    return;
  }
  inputs_.emplace_back(run::Remark{"no commands can be taken: " + commands.error().front().message});
}

std::unique_ptr<worker::WorkerLink> LiveRun::link_for(std::size_t rig) {
  const auto& plan = opened_.timeline.rigs[rig];
  if (plan.by_hand) return nullptr;
  return std::make_unique<worker::WorkerLink>(
      io_, worker_setup(opened_, settings_.programs, rig),
      worker::LinkCallbacks{[this](const run::Input& input) { take(input); },
                            [this, rig = plan.name](const std::string& words) {
                              take(run::Remark{fmt::format("{}: {}", rig, words)});
                            },
                            [this] { return opened_.journal->is_kept(); }});
}

std::vector<std::string> LiveRun::take(run::Input input) {
  inputs_.push_back(std::move(input));
  return step_core();
}

std::vector<std::string> LiveRun::step_core() {
  std::vector<std::string> replies;
  if (std::exchange(stepping_, true)) return replies;  // what came in meanwhile is taken below
  do {
    auto out = run_.step(clock_.now(), std::exchange(inputs_, {}));
    for (const auto& line : out.lines) write(line);
    std::ranges::move(out.replies, std::back_inserter(replies));
    for (std::size_t n = 0; n < links_.size(); ++n) {
      if (links_[n]) links_[n]->set_next_due(out.next_due[n]);
    }
    for (auto& to : out.to_rigs) links_[static_cast<std::size_t>(to.rig)]->send(std::move(to.message));
    arm(out.wake);
    if (out.finished && !std::exchange(ended_, true)) end();
    if (leaving_ && out.filters_on) leave();
  } while (!inputs_.empty());
  stepping_ = false;
  return replies;
}

void LiveRun::write(const shotlog::Line& line) {
  opened_.journal->append(line);
  if (ends_a_phase(line.entry)) opened_.journal->phase_change();
  ledger_.take(line);
  if (auto words = events_.take(line)) view_.say(std::move(*words));
}

void LiveRun::arm(std::optional<Utc> wake) {
  if (wake) {
    timer_.set(clock_.mapping().boot_at(*wake));
  } else {
    timer_.clear();
  }
}

shotlog::ClockStamp LiveRun::stamp(const ClockMapping& mapping) const {
  return {settings_.boot_id, mapping, clock::read_clocks()};
}

void LiveRun::clock_changed(const run::ClockChange& change, const ClockMapping& mapping) {
  for (auto& link : links_) {
    if (link) link->set_clock(mapping);
  }
  auto stamped = change;
  stamped.stamp = stamp(mapping);
  take(std::move(stamped));
}

void LiveRun::disk_news(const journal::JournalNews& news) {
  if (news.kind == journal::JournalNews::Kind::alarm) {
    ledger_.alarm(clock_.now(), news.words);
    view_.say(status::alarm_line(clock_.now(), news.words));
  }
  if (news.kind == journal::JournalNews::Kind::all_clear) ledger_.alarm_over();
  inputs_.emplace_back(run::Remark{news.words});
}

void LiveRun::look_after_folder() {
  const auto news = folder_watch_->look();
  if (!news) return;
  disk_news({journal::JournalNews::Kind::alarm, news->alarm});
  if (news->folder == journal::FolderNews::Folder::fresh) open_commands();
}

void LiveRun::each_second() {
  look_after_folder();
  opened_.journal->poll();
  if (!inputs_.empty()) step_core();
  auto facts = ledger_.facts(clock_.now());
  facts.speed = opened_.settings.speed;
  facts.clock_source = clock_.source_words();
  if (settings_.local_clock) facts.local_clock = settings_.local_clock(facts.now);
  view_.draw(facts);
  second_.expires_after(1s);
  second_.async_wait([this](error_code error) {
    if (!error) each_second();
  });
}

control::Answer LiveRun::carry_out(const std::string& words) {
  if (words == "help") return {true, std::string{shotlog::command_list()}};
  const auto command = shotlog::parse_command(words, run_.names());
  if (!command) {
    auto why = refusal(command.error());
    take(run::Misheard{words, why});
    return {false, std::move(why)};
  }
  run::Request request{*command};
  if (std::holds_alternative<shotlog::ClockOk>(*command)) request.refused = clock_.operator_says_ok();
  auto refused = take(std::move(request)).back();
  return refused.empty() ? control::Answer{true, to_text(*command)}
                         : control::Answer{false, std::move(refused)};
}

void LiveRun::wait_for_signals() {
  signals_.async_wait([this](error_code error, int signal) {
    if (error) return;
    wait_for_signals();
    on_signal(signal);
  });
}

void LiveRun::on_signal(int signal) {
  if (signal == SIGHUP) return void(take(run::Remark{"the terminal went away; the run goes on"}));
  if (signal == SIGTERM) {
    if (std::exchange(leaving_, true)) return leave();
    inputs_.emplace_back(
        run::Remark{"told to end (SIGTERM): workers go on with what they hold for a minute"});
    return void(take(run::Leaving{}));
  }
  if (ending_) return leave();
  ending_ = true;
  take(run::Request{shotlog::Stop{}});
}

/// Nothing is left to do: the workers close their bodies.
void LiveRun::end() {
  timer_.clear();
  auto left = std::make_shared<std::size_t>(1);
  const auto one_less = [this, left] {
    if (--*left > 0) return;
    worker::unplug_all(opened_.folder->path());
    leave();
  };
  for (auto& link : links_) {
    if (!link) continue;
    ++*left;
    link->shut_down(one_less);
  }
  boost::asio::post(io_, one_less);
}

void LiveRun::leave() {
  opened_.journal->phase_change();
  boost::asio::post(io_, [this] { io_.stop(); });
}

}  // namespace noonfall::event_loop
