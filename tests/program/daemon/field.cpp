#include "tests/program/daemon/field.h"

#include <stdexcept>
#include <thread>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "lib/shotlog/replay.h"

namespace noonfall::tests {

using namespace std::chrono_literals;

namespace {

constexpr auto give_up = 100s;

}  // namespace

const std::string field_plan = R"(noonfall: 1
title: A field
eclipse: 2020-12-14
site: {latitude: -39.5, longitude: -70.5, elevation: 900 m}
rigs:
  long:
    body: {simulate: mirrorless-20}
    lens: {focal_length: 600 mm}
    sensor: {width: 35.9 mm, height: 23.9 mm, pixel: 5.9 um}
    mount: tracking
    exposure: {aperture: f/8, iso: 200}
    files: raw
    filter: {density: 5.0, opens: C2 - 30 s, closes: C3 + 30 s, handling: 8 s}
  wide:
    body: {simulate: mirror-24}
    lens: {focal_length: 24 mm}
    mount: fixed
    exposure: {aperture: f/8, iso: 400}
    files: raw
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
  - name: land
    rig: wide
    subject: landscape
    from: C2 - 80 s
    until: C3 + 40 s
    every: 6 s
    patience: 5 s
    exposure: {shutter: 1/125}
cues:
  - {at: MID, say: Halfway.}
)";

std::string with(std::string text, std::string_view from, std::string_view to) {
  const auto at = text.find(from);
  if (at == std::string::npos || text.find(from, at + 1) != std::string::npos)
    throw std::runtime_error{fmt::format("not one \"{}\"", from)};
  return text.replace(at, from.size(), to);
}

bool comes_true(const std::function<bool()>& what) {
  const auto until = std::chrono::steady_clock::now() + give_up;
  while (!what()) {
    if (std::chrono::steady_clock::now() > until) return false;
    std::this_thread::sleep_for(20ms);
  }
  return true;
}

void Field::begin(const std::string& text, const std::vector<std::string>& more) {
  std::vector<std::string> words{plan(text), "--simulate", "--move", "C2=+90s", "--speed", speed};
  words.insert(words.end(), more.begin(), more.end());
  daemon.start(words);
}

Ran Field::run(const std::string& arguments) const {
  return run_program(program_, fmt::format("--state '{}' {}", folder(), arguments));
}

std::vector<shotlog::Line> Field::lines() const {
  return shotlog::replay(daemon.log()).lines;
}

bool Field::noted(std::string_view words) const {
  return count<shotlog::Note>([&](const auto& note) { return note.words.find(words) != std::string::npos; }) >
         0;
}

bool Field::ended(shotlog::RunEnd how) const {
  return count<shotlog::Ended>([&](const auto& end) { return end.how == how; }) > 0;
}

std::ptrdiff_t Field::fired(std::string_view step) const {
  return count<shotlog::FrameOutcome>([&](const auto& outcome) {
    return outcome.frame.step == step && outcome.result == order::Outcome::fired;
  });
}

bool Field::comes_to_fire(std::string_view step, int frames) const {
  return comes_true([&] { return fired(step) >= frames; });
}

int Field::exit() {
  return daemon.wait(give_up).value_or(-1);
}

std::string Field::broken(const std::vector<std::string>& snapshots) const {
  return fmt::format("{}", fmt::join(drill::check_run(folder(), {.logs = snapshots}).broken, "\n"));
}

}  // namespace noonfall::tests
