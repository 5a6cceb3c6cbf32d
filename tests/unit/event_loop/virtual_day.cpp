#include "tests/unit/event_loop/virtual_day.h"

#include <fcntl.h>

#include <stdexcept>

#include "lib/time/time_scales.h"

namespace noonfall::event_loop::tests {

using namespace std::chrono_literals;

const char* const field_plan = R"(noonfall: 1
title: A field
eclipse: 2020-12-14
site: {latitude: -39.5, longitude: -70.5, elevation: 900 m}
rigs:
  long:
    body: {simulate: mirrorless-20}
    lens: {focal_length: 600 mm}
    mount: tracking
    exposure: {aperture: f/8, iso: 200}
    files: raw
    filter: {density: 5.0, opens: C2 - 30 s, closes: C3 + 30 s, handling: 8 s}
  grab:
    body: by hand
    lens: {focal_length: 24 mm}
    mount: fixed
    filter: none
steps:
  - name: crescent
    rig: long
    subject: photosphere
    from: C2 - 80 s
    until: C2 - 35 s
    every: 5 s
    patience: 4 s
    exposure: {shutter: 1/500}
  - name: corona
    rig: long
    subject: corona 0.1 to 2
    from: C2 + 6 s
    until: C3 - 6 s
    every: back to back
    bracket: {from: 1/1000, to: 1 s, by: 2 stops}
cues:
  - {at: MID, say: Halfway.}
)";

VirtualWorker::VirtualWorker(std::int32_t index, const timeline::RigTimeline& rig, MakeBody make_body,
                             const clock::ClockWatch& clock, worker::LinkCallbacks callbacks)
    : index_{index},
      profile_{rig.profile},
      rig_{index, rig.profile},
      make_body_{std::move(make_body)},
      body_{make_body_()},
      clock_{clock},
      callbacks_{std::move(callbacks)} {}

void VirtualWorker::start() {
  callbacks_.on_input(run::Attached{index_, {}});
  callbacks_.on_input(
      order::Report{order::RigState{index_, true, clock_.now(), "its worker is on the line"}});
}

void VirtualWorker::send(order::ToRig message) {
  if (std::holds_alternative<order::Order>(message)) ++orders;
  const auto* recover = std::get_if<order::Recover>(&message);
  if (recover != nullptr && recover->remedy == order::Remedy::restart_worker) return begin_anew();
  inbox_.emplace_back(std::move(message));
}

/// As a process killed and begun again: what it held is gone, and its body is opened by whoever calls first.
void VirtualWorker::begin_anew() {
  rig_ = rig::Rig{index_, profile_};
  body_ = make_body_();
  inbox_.clear();
  answer_.reset();
  wake_.reset();
  next_look_ = Utc::min();
  start();
}

void VirtualWorker::shut_down(std::function<void()> done) {
  is_down = true;
  done();
}

const std::vector<sim::RecordedFrame>& VirtualWorker::taken() const {
  return dynamic_cast<const sim::SimulatedBody&>(*body_).taken();
}

Utc VirtualWorker::next() const {
  if (is_down) return Utc::max();
  if (!inbox_.empty()) return Utc::min();
  const auto call = answer_ ? answer_->at : next_look_;
  return std::min(wake_.value_or(Utc::max()), call);
}

void VirtualWorker::step(Utc now) {
  while (next() <= now) {
    if (answer_ && answer_->at <= now) inbox_.emplace_back(*std::exchange(answer_, std::nullopt));
    step_rig(now, std::exchange(inbox_, {}));
    if (!answer_ && next_look_ <= now) look_after_body(now);
  }
}

void VirtualWorker::step_rig(Utc now, std::vector<rig::Input> inputs) {
  auto out = rig_.step(now, inputs);
  wake_ = out.wake;
  if (out.call) {
    answer_ = body_->answer(*out.call, now);
    if (std::holds_alternative<rig::ReopenCall>(*out.call)) next_look_ = Utc::min();
  }
  for (auto& report : out.reports) callbacks_.on_input(run::Input{std::move(report)});
}

/// As a worker does between calls.
void VirtualWorker::look_after_body(Utc now) {
  const auto due = next_due.value_or(Utc::max());
  const auto care = body_->look_after(now, std::min(wake_.value_or(Utc::max()), due > now ? due : now + 3s));
  next_look_ = std::max(care.again.value_or(Utc::max()), now + 1ms);
  for (const auto& note : care.notes) callbacks_.on_note(note);
  for (const auto& alarm : care.alarms)
    callbacks_.on_input(order::Report{order::RigState{index_, rig_.ready(), now, alarm}});
  if (care.gone) step_rig(now, {*care.gone});
}

VirtualDay::VirtualDay(DaySetup setup)
    : clock{io,
            [this] {
              clock::ClockWatchSettings settings;
              settings.read_clocks = [this] { return machine.now(); };
              settings.clock.simulated = ClockMapping{machine.now().boot, machine.now().realtime, 1};
              return settings;
            }(),
            [this](const run::ClockChange& change, const ClockMapping& mapping) {
              live->clock_changed(change, mapping);
            }},
      setup_{std::move(setup)},
      next_second_{machine.now().boot + 1s} {
  screen_ = posix::FileDescriptor{
      ::open(scratch.path("screen").c_str(), O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600)};
  view.emplace(screen_.get());
  auto run = opened();
  timeline = run.timeline;
  run.facts.can_cycle_power = setup_.cycle_power != nullptr;
  run.facts.voice = setup_.voice;
  facts = run.facts;
  seed = run.settings.seed.value_or(1);
  faults_ = run.faults;
  workers.resize(timeline.rigs.size());
  live.emplace(std::move(run), Surroundings{.clock = clock,
                                            .view = *view,
                                            .link_to =
                                                [this](std::size_t rig, worker::LinkCallbacks callbacks) {
                                                  auto made = std::make_unique<VirtualWorker>(
                                                      static_cast<std::int32_t>(rig), timeline.rigs.at(rig),
                                                      body_of(rig), clock, std::move(callbacks));
                                                  workers[rig] = made.get();
                                                  if (worker == nullptr) worker = made.get();
                                                  return made;
                                                },
                                            .wake_at = [this](std::optional<BootTime> when) { wake_ = when; },
                                            .take_commands =
                                                [this] {
                                                  ++listened;
                                                  return why_no_commands.empty()
                                                             ? Result<void>{}
                                                             : fail(error_at({}, "socket", why_no_commands));
                                                },
                                            .bodies_left = [this] { bodies_left = true; },
                                            .over = [this] { over = true; },
                                            .cycle_power = setup_.cycle_power});
}

MakeBody VirtualDay::body_of(std::size_t rig) {
  const auto& plan = timeline.rigs.at(rig);
  if (setup_.body) {
    if (auto make = setup_.body(rig, plan, clock)) return make;
  }
  const auto faults = rig < faults_.size() ? faults_[rig] : std::vector<sim::Fault>{};
  const auto body =
      std::make_shared<sim::SimulatedBody>(sim::BodySetup{plan.profile, plan.files, seed, 1, faults});
  return [body] { return body; };
}

VirtualDay::~VirtualDay() {
  live.reset();
  view.reset();
}

start::OpenedRun VirtualDay::opened() {
  start::RunRequest request;
  request.plan = scratch.file("plan.yaml", setup_.plan);
  if (!setup_.faults.empty()) request.faults = scratch.file("faults.yaml", setup_.faults);
  request.state = scratch.path("run");
  request.simulate = true;
  request.move = "C2=+90s";
  request.limb = {"mean", {}};
  request.leap_seconds = built_in_leap_seconds();
  auto opening = start::open_run(request, machine.now().realtime);
  if (!opening.run) throw std::runtime_error{to_text(opening.findings)};
  auto& run = *opening.run;
  run.journal.reset();
  auto journal = journal::ShotJournal::open(*run.folder, {.reserve_bytes = 0}, setup_.file_calls(failing));
  if (!journal) throw std::runtime_error{to_text(journal.error())};
  run.journal = std::move(journal->journal);
  return std::move(run);
}

void VirtualDay::advance() {
  const auto mapping = clock.mapping();
  auto next = next_second_;
  if (wake_) next = std::min(next, *wake_);
  for (const auto* each : workers) {
    if (each == nullptr || each->next() == Utc::max()) continue;
    next = std::min(next, mapping.boot_at(std::max(each->next(), now())));
  }
  if (next > machine.now().boot) machine.pass(next - machine.now().boot);
  if (wake_ && *wake_ <= machine.now().boot) live->wake();
  for (auto* each : workers) {
    if (each != nullptr) each->step(now());
  }
  if (machine.now().boot < next_second_) return;
  next_second_ += 1s;
  live->each_second();
}

bool VirtualDay::until(const std::function<bool()>& so) {
  const auto give_up = now() + 1h;
  while (!so() && !over && now() < give_up) advance();
  return so();
}

void VirtualDay::pass(Duration span) {
  const auto end = now() + span;
  (void)until([&] { return now() >= end; });
}

std::string VirtualDay::answer(const std::string& words) {
  const auto answer = live->obey(words);
  return (answer.ok ? "yes: " : "no: ") + answer.words;
}

std::string VirtualDay::log() const {
  return ::noonfall::tests::text_of_file(scratch.path("run/shots.jsonl"));
}

std::string VirtualDay::shown() const {
  return ::noonfall::tests::text_of_file(scratch.path("screen"));
}

}  // namespace noonfall::event_loop::tests
