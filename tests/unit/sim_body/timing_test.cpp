#include <doctest/doctest.h>

#include "lib/body/model.h"
#include "tests/unit/sim_body/sample_body.h"

namespace noonfall::sim {

TEST_CASE("a setting costs its time once, and nothing when it stands already") {
  SimulatedBody body(round_setup());
  const Exposure wanted{quarter, FNumber{80}, Iso{400}};
  const auto first = body.answer(rig::SettingsCall{wanted}, noon);
  CHECK(first.answer == Answer::ok);
  CHECK(first.at - noon == 40ms + 30ms + 20ms);
  CHECK(first.exposure == wanted);

  CHECK(body.answer(rig::SettingsCall{wanted}, noon + 1s).at == noon + 1s);

  const Exposure other_iso{quarter, FNumber{80}, Iso{200}};
  CHECK(body.answer(rig::SettingsCall{other_iso}, noon + 2s).at == noon + 2s + 20ms);
  CHECK(body.answer(rig::SettingsCall{other_iso, Drive::continuous}, noon + 3s).at == noon + 3s + 200ms);
}

TEST_CASE("a body that can't set the lens passes the aperture over and reads none back") {
  auto setup = round_setup();
  setup.profile.choices.apertures.clear();
  SimulatedBody body(setup);
  const auto answer = body.answer(settings(quarter), noon);
  CHECK(answer.answer == Answer::ok);
  CHECK(answer.at - noon == 40ms);
  CHECK(answer.exposure == Exposure{quarter, std::nullopt, Iso{100}});
}

TEST_CASE("a value the body doesn't offer is refused by name, and what came before it stays set") {
  SimulatedBody body(round_setup());
  const auto refused = [&](const rig::SettingsCall& call) {
    const auto answer = body.answer(call, noon);
    CHECK(answer.answer == Answer::refused);
    return answer;
  };
  CHECK(refused({{{1, 3}, FNumber{80}, Iso{100}}}).why == "the body has no 1/3");
  CHECK(refused({{eighth, FNumber{95}, Iso{100}}}).why == "the body has no f/9.5");

  const auto odd_iso = refused({{quarter, FNumber{56}, Iso{150}}});
  CHECK(odd_iso.why == "the body has no ISO 150");
  CHECK(odd_iso.exposure == Exposure{quarter, FNumber{56}, Iso{100}});
  CHECK(odd_iso.at - noon == 40ms + 30ms + 5ms);

  auto plain = round_setup();
  plain.profile.continuous.clear();
  SimulatedBody without_burst(plain);
  CHECK(without_burst.answer(settings(eighth, Drive::continuous), noon).why ==
        "the body has no continuous drive");
}

TEST_CASE("a frame opens after the lag, closes after its exposure, is answered after the readout") {
  Ready ready(round_setup(), quarter);
  const Utc released = noon + 1s;
  const auto answer = ready.body.answer(frames(1, 1), released);
  CHECK(answer.answer == Answer::ok);
  CHECK(answer.released == released);
  REQUIRE(answer.frames.size() == 1);
  CHECK(answer.frames[0] ==
        rig::TakenFrame{released + 60ms, released + 310ms, true, {"DCIM/100NOONF/NOON0001.RAW"}});
  CHECK(answer.at == released + 390ms);
  CHECK(ready.body.taken() == std::vector{RecordedFrame{{0, 0, 1, 1},
                                                        released,
                                                        released + 60ms,
                                                        released + 310ms,
                                                        at(quarter),
                                                        Drive::single,
                                                        {"DCIM/100NOONF/NOON0001.RAW"}}});
}

TEST_CASE("the next frame is busy to the microsecond before the interval is over") {
  Ready ready(round_setup(), eighth);
  const Utc first = noon + 1s;
  (void)ready.body.answer(frames(1, 1), first);
  CHECK(ready.body.answer(frames(2, 1), first + 400ms - 1us).answer == Answer::busy);
  CHECK(ready.body.answer(frames(2, 1), first + 400ms).answer == Answer::ok);
  CHECK(ready.body.taken().size() == 2);
}

TEST_CASE("a burst opens at the continuous interval and not after its last instant") {
  Ready ready(round_setup(), eighth, Drive::continuous);
  const Utc released = noon + 1s;
  const Utc third_opening = released + 60ms + 2 * 150ms;
  const auto burst = [&](Utc stop_by) {
    auto copy = ready.body;
    return copy.answer(frames(1, 5, stop_by), released);
  };
  const auto answer = burst(third_opening);
  REQUIRE(answer.frames.size() == 3);
  for (int n = 0; n < 3; ++n) {
    CHECK(answer.frames[static_cast<std::size_t>(n)].opened == released + 60ms + n * 150ms);
  }
  CHECK(answer.at == third_opening + 125ms + 80ms);
  CHECK(burst(third_opening - 1us).frames.size() == 2);
  CHECK(burst(Utc::max()).frames.size() == 5);
}

TEST_CASE("a burst whose last instant comes before the first opening is answered without frames") {
  Ready ready(round_setup(), eighth, Drive::continuous);
  const Utc released = noon + 1s;
  const auto answer = ready.body.answer(frames(1, 5, released + 59ms), released);
  CHECK(answer.answer == Answer::ok);
  CHECK(answer.frames.empty());
  CHECK(answer.at == released + 59ms + 5ms);
  CHECK(ready.body.taken().empty());
}

TEST_CASE("a single release can't be held back: its last instant is the host's affair") {
  Ready ready(round_setup(), eighth);
  CHECK(ready.body.answer(frames(1, 1, noon), noon + 1s).frames.size() == 1);
}

TEST_CASE("single drive takes exactly one frame a release") {
  Ready ready(round_setup(), eighth);
  CHECK(ready.call(frames(1, 2)).why == "single drive takes one frame a release, 2 were asked for");
  CHECK(ready.call(frames(1, 0)).why == "no frame was asked for");
  CHECK(ready.body.taken().empty());
}

TEST_CASE("raw and jpeg leave two files of one name and take the room of both") {
  auto setup = round_setup();
  setup.files = body::Files::raw_and_jpeg;
  Ready ready(setup, eighth);
  const auto answer = ready.call(frames(1, 1));
  REQUIRE(answer.frames.size() == 1);
  CHECK(answer.frames[0].files ==
        std::vector<std::string>{"DCIM/100NOONF/NOON0001.RAW", "DCIM/100NOONF/NOON0001.JPG"});
  CHECK(ready.body.card_free().value == 64'000 - 40);
}

TEST_CASE("a frame released twice is recorded twice") {
  Ready ready(round_setup(), eighth);
  (void)ready.call(frames(1, 1));
  ready.now += 1s;
  (void)ready.call(frames(1, 1));
  REQUIRE(ready.body.taken().size() == 2);
  CHECK(ready.body.taken()[0].id == ready.body.taken()[1].id);
  CHECK(ready.body.taken()[0].files != ready.body.taken()[1].files);
}

TEST_CASE("reopening puts the body back to what it was when powered on") {
  Ready ready(round_setup(), two_seconds, Drive::continuous);
  CHECK(ready.call(rig::ReopenCall{}).at == noon + 40ms + 30ms + 200ms + 1500ms);
  const auto frame = ready.call(frames(1, 1));
  CHECK(frame.answer == Answer::ok);
  CHECK(ready.body.taken()[0].exposure == Exposure{eighth, std::nullopt, Iso{100}});
  CHECK(ready.body.taken()[0].drive == Drive::single);
}

TEST_CASE("a bracket driven as fast as the body allows opens when the body model predicts") {
  const std::vector exposures{at(eighth), at({1, 2}), at(two_seconds), at(eighth)};
  const auto predicted = body::predict_set(round_profile(), Drive::single, exposures);
  constexpr Duration retry = 50us;
  Ready ready(round_setup(), eighth);
  for (const auto& exposure : exposures) {
    (void)ready.call(rig::SettingsCall{exposure});
    DeviceAnswer answer = ready.body.answer(frames(1, 1), ready.now);
    while (answer.answer == Answer::busy) answer = ready.body.answer(frames(1, 1), ready.now += retry);
    ready.now = answer.at;
  }
  const auto& taken = ready.body.taken();
  REQUIRE(taken.size() == exposures.size());
  for (std::size_t n = 0; n < taken.size(); ++n) {
    const auto opened = taken[n].opened - taken[0].opened;
    CHECK(opened >= predicted.offsets[n]);
    CHECK(opened < predicted.offsets[n] + static_cast<int>(n) * retry + 1us);
  }
}

TEST_CASE("a body that is looked after tells what it has left, less with every frame") {
  auto setup = round_setup();
  setup.profile.battery_frames = 200;
  SimulatedBody body(setup);
  const auto full = body.look_after(noon, noon + 1min).levels;
  REQUIRE(full);
  CHECK(full->battery_percent == 100);
  const auto frames =
      static_cast<int>(body.card_free().value / body::frame_size(setup.profile, setup.files).value);
  CHECK(full->card_frames == frames);
  setup.taken_before = 50;
  const auto later = SimulatedBody(setup).look_after(noon, noon + 1min).levels;
  REQUIRE(later);
  CHECK(later->battery_percent == 75);
  CHECK(later->card_frames == frames - 50);
}

}  // namespace noonfall::sim
