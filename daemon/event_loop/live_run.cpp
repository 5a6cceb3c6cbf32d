#include "daemon/event_loop/live_run.h"

#include <algorithm>
#include <csignal>
#include <iterator>
#include <utility>

#include <fmt/format.h>

#include "daemon/diagnostic/log.h"
#include "lib/shotlog/command.h"

namespace noonfall::event_loop {
namespace {

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

/// Small pictures are for the partial phases: before and after totality every moment is wanted.
bool may_look(const contacts::Circumstances& sky, Utc now) {
  constexpr Duration apart = std::chrono::minutes{1};
  const auto& c2 = sky.at(contacts::ContactName::c2);
  const auto& c3 = sky.at(contacts::ContactName::c3);
  return !c2 || !c3 || now < c2->utc - apart || now > c3->utc + apart;
}

/// What a power cut must not take.
bool ends_a_phase(const shotlog::Entry& entry) {
  return !std::holds_alternative<shotlog::Intent>(entry) &&
         !std::holds_alternative<shotlog::FrameOutcome>(entry) &&
         !std::holds_alternative<shotlog::Skip>(entry);
}

}  // namespace

LiveRun::LiveRun(start::OpenedRun opened, Surroundings surroundings)
    : opened_{std::move(opened)},
      surroundings_{std::move(surroundings)},
      clock_{surroundings_.clock},
      view_{surroundings_.view},
      run_{make_run(opened_, clock_.state())},
      ledger_{opened_.timeline, opened_.settings.mode, opened_.before.value_or(shotlog::Account{})} {
  for (std::size_t n = 0; n < opened_.timeline.rigs.size(); ++n) links_.push_back(link_for(n));
}

void LiveRun::start() {
  folder_watch_.emplace(*opened_.folder, *opened_.journal);
  open_commands();
  for (auto& words : opened_.alarms) disk_news({journal::JournalNews::Kind::alarm, std::move(words)});
  for (auto& note : opened_.notes) inputs_.emplace_back(run::Remark{std::move(note)});
  const auto mapping = clock_.mapping();
  inputs_.emplace_back(
      run::ClockChange{clock_.state(), "the daemon started; " + clock_.source_words(), stamp(mapping)});
  step_core();
  if (surroundings_.voice != nullptr) surroundings_.voice->prepare(run_.words());
  clock_.start();
  for (auto& link : links_) {
    if (!link) continue;
    link->set_clock(mapping);
    link->start();
  }
  each_second();
}

void LiveRun::open_commands() {
  const auto opened = surroundings_.take_commands();
  if (opened) return;
  inputs_.emplace_back(run::Remark{"no commands can be taken: " + opened.error().front().message});
}

std::unique_ptr<worker::RigLink> LiveRun::link_for(std::size_t rig) {
  const auto& plan = opened_.timeline.rigs[rig];
  if (plan.by_hand) return nullptr;
  return surroundings_.link_to(rig, {[this](const run::Input& input) { take(input); },
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
    const auto now = clock_.now();
    const bool look = may_look(opened_.timeline.circumstances, now);
    auto out = run_.step(now, std::exchange(inputs_, {}));
    for (const auto& line : out.lines) write(line);
    std::ranges::move(out.replies, std::back_inserter(replies));
    for (std::size_t n = 0; n < links_.size(); ++n) {
      if (!links_[n]) continue;
      links_[n]->set_next_due(out.next_due[n]);
      links_[n]->set_may_look(look && opened_.timeline.rigs[n].filtered_light.has_value());
    }
    for (auto& to : out.to_rigs) send(std::move(to));
    for (const auto& words : out.announcements) announce(words);
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
  if (auto event = events_.take(line)) view_.say(std::move(*event));
  if (surroundings_.changed) surroundings_.changed();
}

void LiveRun::send(run::ToOneRig to) {
  const auto rig = static_cast<std::size_t>(to.rig);
  const auto* recover = std::get_if<order::Recover>(&to.message);
  if (recover == nullptr || recover->remedy != order::Remedy::cycle_power)
    return links_[rig]->send(std::move(to.message));
  surroundings_.cycle_power(rig);
  // Its worker looks for it as it comes back.
  links_[rig]->send(order::Recover{order::Remedy::reopen, recover->until, recover->spare});
}

void LiveRun::announce(const run::Announcement& words) {
  if (!words.spoken || surroundings_.voice == nullptr) return view_.ring();
  const auto mapping = clock_.mapping();
  const auto expires = words.expires == Utc::max() ? BootTime::max() : mapping.boot_at(words.expires);
  surroundings_.voice->say({words.text, words.ends, mapping.boot_at(words.ends), expires, words.first});
}

void LiveRun::arm(std::optional<Utc> wake) {
  surroundings_.wake_at(wake ? std::optional{clock_.mapping().boot_at(*wake)} : std::nullopt);
}

shotlog::ClockStamp LiveRun::stamp(const ClockMapping& mapping) const {
  return {surroundings_.boot_id, mapping, clock_.sample()};
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
    view_.say(status::alarm_event(clock_.now(), news.words));
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
  for (const auto& news : opened_.journal->poll()) disk_news(news);
  if (!inputs_.empty()) step_core();
  show();
}

void LiveRun::show() {
  auto facts = ledger_.facts(clock_.now());
  facts.speed = opened_.settings.speed;
  facts.clock_source = clock_.source_words();
  if (surroundings_.local_clock) facts.local_clock = surroundings_.local_clock(facts.now);
  for (std::size_t n = 0; n < links_.size(); ++n) {
    if (!links_[n]) continue;
    facts.rigs[n].levels = links_[n]->levels();
    if (const auto picture = links_[n]->picture()) {
      facts.rigs[n].picture = {picture, &picture->jpeg};
      facts.rigs[n].picture_of = picture->opened;
    }
  }
  view_.draw(facts);
  if (surroundings_.shown) surroundings_.shown(facts);
}

void LiveRun::take_keys(std::string_view bytes) {
  const auto words = view_.take_keys(bytes);
  if (!words) return;
  const auto answer = obey(*words);
  view_.answered(answer.ok, answer.words);
}

control::Answer LiveRun::obey(const std::string& words) {
  spdlog::info("told: {}", words);
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
  arm(std::nullopt);
  auto left = std::make_shared<std::size_t>(1);
  const auto one_less = [this, left] {
    if (--*left > 0) return;
    surroundings_.bodies_left();
    leave();
  };
  for (auto& link : links_) {
    if (!link) continue;
    ++*left;
    link->shut_down(one_less);
  }
  one_less();
}

void LiveRun::leave() {
  opened_.journal->phase_change();
  surroundings_.over();
}

}  // namespace noonfall::event_loop
