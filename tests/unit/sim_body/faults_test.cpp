#include <doctest/doctest.h>

#include "tests/unit/sim_body/sample_body.h"

namespace noonfall::sim {
namespace {

Ready with(Fault fault, Drive drive = Drive::single, Shutter shutter = eighth) {
  Ready ready(round_setup({std::move(fault)}), shutter, drive);
  ready.now = noon + 10s;
  return ready;
}

Answer release_at(Ready& ready, Utc when) {
  return ready.body.answer(frames(1, 1), when).answer;
}

}  // namespace

TEST_CASE("within a busy span every release is busy, and nothing is taken") {
  auto ready = with({noon + 10s, noon + 12s, {}, BusyReleases{}});
  CHECK(release_at(ready, noon + 10s) == Answer::busy);
  CHECK(release_at(ready, noon + 12s - 1us) == Answer::busy);
  CHECK(ready.body.taken().empty());
  CHECK(ready.body.answer(settings(quarter), noon + 12s - 1us).answer == Answer::ok);
  CHECK(release_at(ready, noon + 12s) == Answer::ok);
}

TEST_CASE("a counted fault strikes that often and no more") {
  auto ready = with({noon + 10s, Utc::max(), 2, BusyReleases{}});
  CHECK(ready.call(frames(1, 1)).answer == Answer::busy);
  CHECK(ready.call(frames(1, 1)).why == "the body is busy");
  CHECK(ready.call(frames(1, 1)).answer == Answer::ok);
}

TEST_CASE("a fault of the future doesn't strike yet") {
  auto ready = with({noon + 20s, Utc::max(), 1, BusyReleases{}});
  CHECK(release_at(ready, noon + 19s) == Answer::ok);
  CHECK(release_at(ready, noon + 21s) == Answer::busy);
}

TEST_CASE("a refused setting keeps its old value, costs its time, and says which") {
  auto ready = with({noon, Utc::max(), 1, RefusedSetting{Setting::iso}});
  const Exposure wanted{quarter, FNumber{80}, Iso{400}};
  const auto refused = ready.call(rig::SettingsCall{wanted});
  CHECK(refused.answer == Answer::refused);
  CHECK(refused.why == "the body refused ISO 400");
  CHECK(refused.exposure == at(quarter));
  CHECK(refused.at == noon + 10s + 40ms + 20ms);
  const auto again = ready.call(rig::SettingsCall{wanted});
  CHECK(again.answer == Answer::ok);
  CHECK(again.exposure == wanted);
}

TEST_CASE("one value alone can be refused, of any setting") {
  struct Row {
    SettingValue refused;
    rig::SettingsCall struck;
    rig::SettingsCall spared;
    std::string why;
  };
  const Row rows[] = {
      {quarter, settings(quarter), settings(two_seconds), "the body refused 1/4"},
      {FNumber{56},
       {{eighth, FNumber{56}, Iso{100}}},
       {{eighth, FNumber{80}, Iso{200}}},
       "the body refused f/5.6"},
      {Iso{400},
       {{eighth, FNumber{80}, Iso{400}}},
       {{eighth, FNumber{80}, Iso{200}}},
       "the body refused ISO 400"},
      {Drive::continuous, settings(eighth, Drive::continuous), settings(quarter),
       "the body refused continuous drive"},
  };
  for (const auto& row : rows) {
    auto ready = with({noon + 1s, Utc::max(), {}, RefusedSetting{row.refused}});
    CHECK(ready.call(row.spared).answer == Answer::ok);
    CHECK(ready.call(row.struck).why == row.why);
    CHECK(ready.call(row.struck).answer == Answer::refused);
  }
}

TEST_CASE("a setting that needn't change isn't refused") {
  auto ready = with({noon + 1s, Utc::max(), {}, RefusedSetting{Setting::shutter}});
  CHECK(ready.call(settings(eighth)).answer == Answer::ok);
}

TEST_CASE("an unconfirmed frame is on the card, and its answer names no file") {
  auto ready = with({noon, Utc::max(), 1, LostFrame{LostFrame::Sign::unconfirmed}});
  const auto answer = ready.call(frames(1, 1));
  CHECK(answer.answer == Answer::ok);
  REQUIRE(answer.frames.size() == 1);
  CHECK_FALSE(answer.frames[0].confirmed);
  CHECK(answer.frames[0].files.empty());
  CHECK(answer.at == noon + 10s + 265ms);
  REQUIRE(ready.body.taken().size() == 1);
  CHECK(ready.body.taken()[0].files.size() == 1);
  ready.now += 1s;
  CHECK(ready.call(frames(2, 1)).frames.at(0).confirmed);
}

TEST_CASE("in a burst frames are lost one by one") {
  auto ready = with({noon, Utc::max(), 2, LostFrame{LostFrame::Sign::unconfirmed}}, Drive::continuous);
  const auto answer = ready.call(frames(1, 4));
  REQUIRE(answer.frames.size() == 4);
  CHECK_FALSE(answer.frames[1].confirmed);
  CHECK(answer.frames[2].confirmed);
}

TEST_CASE("a release without a word ends in the host's deadline, the picture on the card") {
  auto ready = with({noon, Utc::max(), 1, LostFrame{LostFrame::Sign::no_word}});
  const auto answer = ready.call(frames(1, 1));
  CHECK(answer.answer == Answer::no_word);
  CHECK(answer.why == "the release wasn't answered");
  CHECK(answer.frames.empty());
  CHECK(answer.at == noon + 10s + 265ms + 2s);
  CHECK(ready.body.taken().size() == 1);
  CHECK(ready.call(frames(2, 1)).answer == Answer::ok);
}

TEST_CASE("a body that goes while the shutter is open has taken the frame and can't say so") {
  auto ready = with({noon + 11s, noon + 20s, {}, BodyGone{}}, Drive::single, two_seconds);
  const auto answer = ready.call(frames(1, 1));
  CHECK(answer.answer == Answer::gone);
  CHECK(answer.released == noon + 10s);
  CHECK(answer.at == noon + 11s + 2s);
  CHECK(answer.frames.empty());
  CHECK(ready.body.taken().size() == 1);
}

TEST_CASE("of several goings during one call the first ends it") {
  const Fault later{noon + 11s, noon + 20s, {}, BodyGone{}};
  const Fault first{noon + 10s + 500ms, noon + 10s + 700ms, {}, BodyGone{}};
  Ready ready(round_setup({later, first}), two_seconds);
  ready.now = noon + 10s;
  CHECK(ready.call(frames(1, 1)).at == noon + 12s + 500ms);
}

TEST_CASE("a body that goes before the shutter opens takes nothing") {
  auto ready = with({noon + 10s + 60ms, noon + 20s, {}, BodyGone{}});
  const auto answer = ready.call(frames(1, 1));
  CHECK(answer.answer == Answer::gone);
  CHECK(answer.at == noon + 10s + 60ms + 2s);
  CHECK(ready.body.taken().empty());
}

TEST_CASE("a burst ends when the body goes") {
  auto ready = with({noon + 10s + 500ms, noon + 20s, {}, BodyGone{}}, Drive::continuous);
  CHECK(ready.call(frames(1, 9)).answer == Answer::gone);
  CHECK(ready.body.taken().size() == 3);  // opened at 60, 210 and 360 ms
}

TEST_CASE("a body that goes and comes back has to be reopened, and is then at its first choices") {
  auto ready = with({noon + 11s, noon + 14s, {}, BodyGone{}}, Drive::single, two_seconds);
  ready.now = noon + 12s + 600ms;
  CHECK(ready.call(rig::ReopenCall{}).answer == Answer::gone);  // back only while it was looked for
  CHECK(ready.now == noon + 14s + 100ms);
  CHECK(ready.call(frames(1, 1)).answer == Answer::gone);
  CHECK(ready.call(rig::ReopenCall{}).answer == Answer::ok);
  CHECK(ready.call(frames(1, 1)).answer == Answer::ok);
  CHECK(ready.body.taken().at(0).exposure.shutter == eighth);
}

TEST_CASE("a reopening cut short by the body's going again hasn't happened") {
  Ready ready(
      round_setup({{noon + 11s, noon + 12s, {}, BodyGone{}}, {noon + 14s, noon + 15s, {}, BodyGone{}}}),
      eighth);
  ready.now = noon + 13s;
  CHECK(ready.call(rig::ReopenCall{}).answer == Answer::gone);
  ready.now = noon + 16s;
  CHECK(ready.call(frames(1, 1)).answer == Answer::gone);
  CHECK(ready.call(rig::ReopenCall{}).answer == Answer::ok);
}

TEST_CASE("settings and draining in progress when the body goes are answered gone") {
  auto ready = with({noon + 10s + 10ms, noon + 20s, {}, BodyGone{}});
  for (const rig::DeviceCall& call : std::vector<rig::DeviceCall>{settings(quarter), rig::DrainCall{}}) {
    auto copy = ready;
    const auto answer = copy.call(call);
    CHECK(answer.answer == Answer::gone);
    CHECK(answer.at == noon + 12s + 10ms);
  }
}

}  // namespace noonfall::sim
