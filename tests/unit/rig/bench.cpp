#include "tests/unit/rig/bench.h"

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "lib/base/match.h"

namespace noonfall::rig {
namespace {

constexpr Utc zero{1'817'200'000s};

std::string ms(Utc instant) {
  return instant == Utc{} ? "never" : fmt::format("{}", in_milliseconds(instant - zero));
}

std::string name(const order::FrameId& id) {
  return fmt::format("{}.{}", id.set, id.frame);
}

std::string drive_text(body::Drive drive) {
  return std::string{body::to_text(drive)};
}

std::string text(const DeviceCall& call) {
  return std::visit(
      Match{[](const SettingsCall& set) {
              return fmt::format("set {} {}", exposure::to_text(set.exposure), drive_text(set.drive));
            },
            [](const ReleaseCall& release) {
              std::vector<std::string> names;
              for (const auto& id : release.frames) names.push_back(name(id));
              return fmt::format("release {} by {}", fmt::join(names, " "), ms(release.stop_by));
            },
            [](const DrainCall&) { return std::string{"drain"}; },
            [](const ReopenCall& reopen) {
              return fmt::format("reopen at rung {}{}", static_cast<int>(reopen.remedy),
                                 reopen.spare ? " or its spare" : "");
            }},
      call);
}

std::string text(const order::FrameDone& done) {
  auto out =
      fmt::format("{} {} of {} at {}", name(done.id), order::to_text(done.outcome), done.order, ms(done.at));
  if (done.released != Utc{}) out += " released " + ms(done.released);
  if (done.opened != Utc{}) out += fmt::format(" open {} to {}", ms(done.opened), ms(done.closed));
  out += fmt::format(" with {}", exposure::to_text(done.exposure));
  for (const auto& file : done.files) out += " " + file;
  return done.why.empty() ? out : out + ": " + done.why;
}

std::string text(const order::Report& report) {
  return std::visit(
      Match{[](const order::OrderStarted& r) { return fmt::format("started {} at {}", r.order, ms(r.at)); },
            [](const order::FrameDone& r) { return text(r); },
            [](const order::OrderDone& r) { return fmt::format("done {} at {}", r.order, ms(r.at)); },
            [](const order::RigState& r) {
              return fmt::format("rig {} {} at {}{}{}", r.rig, r.ready ? "ready" : "away", ms(r.at),
                                 r.why.empty() ? "" : ": " + r.why,
                                 r.spare.empty() ? "" : " with spare " + r.spare);
            }},
      report);
}

}  // namespace

Utc at(Duration since_zero) {
  return zero + since_zero;
}

body::Profile round_profile() {
  body::Profile profile;
  profile.choices.shutters = {{1, 500}, {1, 2}, {32, 1}};
  profile.setting_times = {100ms, 200ms, 300ms, 400ms};
  profile.release = {60ms, 20ms};
  profile.single = {{Duration{0}, 500ms}};
  return profile;
}

exposure::Exposure with(exposure::Shutter shutter) {
  return {shutter, exposure::FNumber{80}, {400}};
}

order::Order order_of(std::int64_t id, Duration due, const std::vector<exposure::Exposure>& exposures) {
  order::Order order;
  order.id = id;
  order.earliest = at(due);
  order.prepare_from = at(due - 2s);
  for (const auto& exposure : exposures) {
    const auto n = static_cast<std::int32_t>(order.frames.size());
    const auto frame_due = at(due + std::chrono::seconds{n});
    order.frames.push_back(
        {{0, 0, static_cast<std::int32_t>(id), n + 1}, exposure, frame_due, frame_due + 2s});
  }
  return order;
}

DeviceAnswer set_to(Duration now, const exposure::Exposure& exposure, body::Drive drive) {
  DeviceAnswer answer;
  answer.at = at(now);
  answer.exposure = exposure;
  answer.drive = drive;
  return answer;
}

DeviceAnswer took(Duration now, Duration released, const std::vector<Duration>& opened) {
  DeviceAnswer answer;
  answer.at = at(now);
  answer.released = at(released);
  for (const auto instant : opened) answer.frames.push_back({at(instant), at(instant + 2ms), true, {}});
  return answer;
}

DeviceAnswer said(Duration now, Answer word, const std::string& why) {
  DeviceAnswer answer;
  answer.answer = word;
  answer.at = at(now);
  answer.why = why;
  return answer;
}

std::string Bench::step(Duration now, const std::vector<Input>& inputs) {
  const auto output = rig_.step(at(now), inputs);
  std::vector<std::string> parts;
  for (const auto& report : output.reports) parts.push_back(text(report));
  if (output.call) parts.push_back(text(*output.call));
  if (output.wake) parts.push_back("wake " + ms(*output.wake));
  const auto again = rig_.step(at(now), {});
  CHECK(again.reports.empty());
  CHECK_FALSE(again.call.has_value());
  return fmt::format("{}", fmt::join(parts, " | "));
}

Bench waiting_for_release() {
  Bench bench;
  bench.step(8s, {order_of(1, 10s, {quick})});
  REQUIRE(bench.step(8600ms, {set_to(8600ms, quick)}) == "wake 9972");
  return bench;
}

Bench releasing() {
  auto bench = waiting_for_release();
  REQUIRE(bench.step(9972ms) == "release 1.1 by 12000");
  return bench;
}

}  // namespace noonfall::rig
