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

VirtualWorker::VirtualWorker(std::int32_t index, const timeline::RigTimeline& rig, std::uint64_t seed,
                             const clock::ClockWatch& clock, worker::LinkCallbacks callbacks)
    : index_{index},
      rig_{index, rig.profile},
      body_{{rig.profile, rig.files, seed, 1, {}}},
      clock_{clock},
      callbacks_{std::move(callbacks)} {}

void VirtualWorker::start() {
  callbacks_.on_input(run::Attached{index_, {}});
  callbacks_.on_input(
      order::Report{order::RigState{index_, true, clock_.now(), "its worker is on the line"}});
}

void VirtualWorker::send(order::ToRig message) {
  if (std::holds_alternative<order::Order>(message)) ++orders;
  inbox_.emplace_back(std::move(message));
}

void VirtualWorker::shut_down(std::function<void()> done) {
  is_down = true;
  done();
}

Utc VirtualWorker::next() const {
  if (is_down) return Utc::max();
  if (!inbox_.empty()) return Utc::min();
  return std::min(wake_.value_or(Utc::max()), answer_ ? answer_->at : Utc::max());
}

void VirtualWorker::step(Utc now) {
  while (next() <= now) {
    if (answer_ && answer_->at <= now) inbox_.emplace_back(*std::exchange(answer_, std::nullopt));
    auto out = rig_.step(now, std::exchange(inbox_, {}));
    wake_ = out.wake;
    if (out.call) answer_ = body_.answer(*out.call, now);
    for (auto& report : out.reports) callbacks_.on_input(run::Input{std::move(report)});
  }
}

VirtualDay::VirtualDay()
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
      next_second_{machine.now().boot + 1s} {
  screen_ = posix::FileDescriptor{
      ::open(scratch.path("screen").c_str(), O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600)};
  view.emplace(screen_.get());
  auto run = opened();
  timeline = run.timeline;
  facts = run.facts;
  seed = run.settings.seed.value_or(1);
  live.emplace(std::move(run), Surroundings{.clock = clock,
                                            .view = *view,
                                            .link_to =
                                                [this](std::size_t rig, worker::LinkCallbacks callbacks) {
                                                  auto made = std::make_unique<VirtualWorker>(
                                                      static_cast<std::int32_t>(rig), timeline.rigs.at(rig),
                                                      seed, clock, std::move(callbacks));
                                                  worker = made.get();
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
                                            .over = [this] { over = true; }});
}

VirtualDay::~VirtualDay() {
  live.reset();
  view.reset();
}

start::OpenedRun VirtualDay::opened() {
  start::RunRequest request;
  request.plan = scratch.file("plan.yaml", field_plan);
  request.state = scratch.path("run");
  request.simulate = true;
  request.move = "C2=+90s";
  request.limb = {"mean", {}};
  request.leap_seconds = built_in_leap_seconds();
  auto opening = start::open_run(request, machine.now().realtime);
  if (!opening.run) throw std::runtime_error{to_text(opening.findings)};
  auto& run = *opening.run;
  run.journal.reset();
  run.journal = std::move(
      journal::ShotJournal::open(*run.folder, {.reserve_bytes = 0}, journal::calls_with(failing))->journal);
  return std::move(run);
}

void VirtualDay::advance() {
  const auto mapping = clock.mapping();
  auto next = next_second_;
  if (wake_) next = std::min(next, *wake_);
  if (worker->next() < Utc::max()) next = std::min(next, mapping.boot_at(std::max(worker->next(), now())));
  if (next > machine.now().boot) machine.pass(next - machine.now().boot);
  if (wake_ && *wake_ <= machine.now().boot) live->wake();
  worker->step(now());
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
