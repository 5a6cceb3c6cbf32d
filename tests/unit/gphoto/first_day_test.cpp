// Where a first day with a real body would have failed, each with what happened then: read in
// libgphoto2 2.5.30's source, told in public reports, or run on simulated bodies against that library
// ("run").
#include <algorithm>
#include <limits>

#include <doctest/doctest.h>

#include "daemon/gphoto/body_description.h"
#include "lib/body/shipped.h"
#include "tests/unit/gphoto/scripted_body.h"

namespace noonfall::gphoto {
namespace {

using namespace std::chrono_literals;
using exposure::Exposure;
using exposure::FNumber;
using rig::Answer;

using Words = std::vector<std::string>;

const Exposure quick{{1, 500}, FNumber{80}, {400}};
const Exposure slower{{1, 60}, FNumber{80}, {400}};

body::Profile profile() {
  return body::find_shipped("mirrorless-20").value();
}

rig::DeviceAnswer set(CabledCamera& camera, const Exposure& exposure = quick) {
  return camera.answer(rig::SettingsCall{exposure, body::Drive::single}, {});
}

/// The next frame is wanted then; at once within a set.
rig::DeviceAnswer release(CabledCamera& camera, Utc next = Utc::min()) {
  static std::int32_t frame = 0;
  return camera.answer(rig::ReleaseCall{{{.frame = ++frame}}, Utc::max() - 1h, next}, {});
}

/// Until it isn't busy any more, as a rig asks.
rig::DeviceAnswer release_when_free(CabledCamera& camera, Script& script) {
  for (;;) {
    auto answer = release(camera);
    if (answer.answer != Answer::busy) return answer;
    script.now += 10ms;
  }
}

rig::Care look_after(CabledCamera& camera, const Script& script) {
  return camera.look_after(script.now, script.now + 10s);
}

/// What would stop a run, or might; with a card that is nearly empty.
Diagnostics found_on(const std::shared_ptr<Script>& script) {
  for (auto& store : script->stores) store.free_kilobytes = store.kilobytes;
  const auto session = *cables_of(script)->open({});
  return obstacles(read_description(*session, {"Scripted", "usb:001,001"}, script->now));
}

std::string picture(int number) {
  return "/store_00010001/DCIM/100A/A000" + std::to_string(number) + ".RAW";
}

}  // namespace

// 30 of 30 frames at 1/8000 s, without an alarm (run).
TEST_CASE("a dial turned to M after opening is seen, by its news or without, and its lists are read again") {
  for (const bool told : {true, false}) {
    CAPTURE(told);
    const auto script = generic_body();
    script->offers("expprogram", "P", {"P"});
    script->controls["shutterspeed"] = {"shutterspeed", "1/8000", {"1/8000"}, true};
    auto camera = camera_on(script, profile());
    const auto wrong = set(camera);
    CHECK(wrong.answer == Answer::refused);
    CHECK(wrong.why == "shutterspeed can't be set, it is \"1/8000\"");
    CHECK(wrong.exposure == Exposure{{1, 8000}, FNumber{80}, {400}});
    CHECK(look_after(camera, *script).alarms ==
          Words{"the mode dial is at \"P\": exposures can't be set; turn it to M"});

    script->offers("expprogram", "M", {"M"});
    script->offers("shutterspeed", "1/8000", {"1/60", "1/500", "1/8000"});
    if (told) script->tells(0s, News::Kind::other, "PTP Property 500e changed, \"expprogram\" to \"M\"");
    script->now += 2s;
    if (told) {
      const auto notes = look_after(camera, *script).notes;
      CHECK(std::ranges::count(notes, "the mode dial was turned to \"M\": the settings are read again") == 1);
    }
    const auto right = set(camera);
    CHECK(right.answer == Answer::ok);
    CHECK(right.exposure == quick);
  }
}

TEST_CASE("a setting that somebody changes on the body is set again") {
  const auto script = generic_body();
  auto camera = camera_on(script, profile());
  REQUIRE(set(camera).answer == Answer::ok);
  script->controls["iso"].label = "800";
  script->tells(0s, News::Kind::other, "PTP Property 500f changed, \"iso\" to \"800\"");
  (void)look_after(camera, *script);
  const auto answer = set(camera);
  CHECK(answer.exposure == quick);
  CHECK(script->controls["iso"].label == "400");
}

// With 40 news a frame and two transactions for each, 17 of 30 frames were taken (run). At 3 ms a
// transaction: what is told of a frame takes 240 ms to read, its interval is 400 ms.
TEST_CASE("a body that tells a lot takes its frames as one that is silent") {
  const auto frames_in = [](int news_a_frame) {
    const auto script = family_b_body();
    script->call_time = 6ms;
    const auto tells = script->on_call;
    Utc free;
    script->on_call = [&, number = 0](const std::string& call) mutable {
      tells(call);
      if (call != "set eosremoterelease Press Full MF") return;
      if (script->now < free) return script->fails("set eosremoterelease", 1, {result::camera_busy, {}});
      free = script->now + 400ms;
      for (int n = 0; n < news_a_frame; ++n)
        script->tells(Duration{n * 2ms}, News::Kind::other, "PTP Property d1d3 changed");
      std::ranges::stable_sort(script->news, {}, &Script::Told::at);
      script->tells(Duration{news_a_frame * 2ms}, News::Kind::file, picture(++number));
    };
    auto camera = camera_on(script, profile());
    REQUIRE(set(camera).answer == Answer::ok);
    const auto until = script->now + 30s;
    int frames = 0;
    while (script->now < until) {
      (void)set(camera, frames % 2 == 0 ? slower : quick);
      frames += release_when_free(camera, *script).answer == Answer::ok ? 1 : 0;
    }
    return frames;
  };
  const auto silent = frames_in(0);
  CHECK(silent > 60);  // 75 in 30 s at 400 ms each
  CHECK(frames_in(40) >= 0.95 * silent);
}

// An unconfirmed frame cost 0.74 to 0.83 s instead of 0.40 s (run).
TEST_CASE("frames whose pictures aren't announced cost no more time than others") {
  const auto lasts = [](bool announced) {
    const auto script = generic_body();
    script->on_call = [&, number = 0](const std::string& call) mutable {
      if (call == "trigger" && announced) script->tells(100ms, News::Kind::file, picture(++number));
    };
    auto camera = camera_on(script, profile());
    REQUIRE(set(camera).answer == Answer::ok);
    const auto began = script->now;
    for (int n = 0; n < 20; ++n) CHECK(release_when_free(camera, *script).answer == Answer::ok);
    return script->now - began;
  };
  CHECK(lasts(false) <= lasts(true) + 100ms);
}

TEST_CASE("within a set nobody waits for a picture, and frames count as taken until some in a row weren't") {
  const auto script = generic_body();
  auto camera = camera_on(script, profile());
  REQUIRE(set(camera).answer == Answer::ok);
  int doubted = 0;
  for (int n = 0; n < 12; ++n) {
    const auto answer = release_when_free(camera, *script);
    REQUIRE(answer.answer == Answer::ok);
    CHECK(answer.at - answer.released < 360ms);  // the next one is taken 400 ms later, and set in 40 ms
    doubted += answer.frames.front().confirmed ? 0 : 1;
  }
  CHECK(doubted >= 6);
  script->tells(0s, News::Kind::file, picture(1));
  (void)look_after(camera, *script);
  CHECK(release_when_free(camera, *script).frames.front().confirmed);
}

TEST_CASE("a body that isn't ready by its profile is asked when it was last time, not all the time") {
  const auto script = generic_body();
  Utc free;
  int asked = 0;
  script->on_call = [&](const std::string& call) {
    if (call != "trigger") return;
    ++asked;
    if (script->now < free) return script->fails("trigger", 1, {result::camera_busy, {}});
    free = script->now + 440ms;  // a tenth slower than the profile
  };
  auto camera = camera_on(script, profile());
  REQUIRE(set(camera).answer == Answer::ok);
  const auto began = script->now;
  constexpr int frames = 40;
  for (int n = 0; n < frames; ++n) CHECK(release_when_free(camera, *script).answer == Answer::ok);
  CHECK(asked < 2.5 * frames);
  CHECK(script->now - began < frames * 440ms * 105 / 100);
}

// Answers after 5.6 s (9116, L#30), 8 to 10 s (9128, L#655) and 15 s (library.c:9753) were published.
TEST_CASE("a transaction is waited for long when nothing else is due, and shortly between frames") {
  const auto script = generic_body();
  auto camera = camera_on(script, profile());
  REQUIRE(set(camera).answer == Answer::ok);
  CHECK(script->patience == 15s);
  REQUIRE(release_when_free(camera, *script).answer == Answer::ok);
  CHECK(script->patience == 2s);
  script->now += 1s;
  REQUIRE(release(camera, Utc::max()).answer == Answer::ok);
  CHECK(script->patience == 15s);
  (void)camera.look_after(script->now, script->now + 6s);
  CHECK(script->patience == 6s);
}

TEST_CASE("a body known to answer slowly is waited for between frames as well") {
  const auto script = generic_body();
  auto camera = camera_on(script, profile());
  REQUIRE(set(camera).answer == Answer::ok);
  script->call_time = 4s;
  REQUIRE(release(camera, Utc::max()).answer == Answer::ok);
  script->call_time = 100us;
  script->now += 1s;
  REQUIRE(release_when_free(camera, *script).answer == Answer::ok);
  CHECK(script->patience >= 8s);
}

// G#648, L#298: some bodies write nothing to the card while they are tethered.
TEST_CASE("a body that writes nothing is an alarm after its first frame, one that writes is none") {
  for (const bool writes : {false, true}) {
    CAPTURE(writes);
    const auto script = generic_body();
    auto camera = camera_on(script, profile());
    REQUIRE(set(camera).answer == Answer::ok);
    REQUIRE(release(camera, Utc::max()).answer == Answer::ok);
    if (writes) script->stores.front().free_kilobytes -= 24'000;
    Words alarms;
    for (int n = 0; n < 5; ++n) {
      script->now += 2s;
      std::ranges::copy(look_after(camera, *script).alarms, std::back_inserter(alarms));
    }
    CHECK(alarms.size() == (writes ? 0 : 1));
    if (!writes) CHECK(alarms.front().find("the body may write nothing") != std::string::npos);
  }
}

// The driver has downloaded it while news was asked for; the bytes were dropped and the frame logged as
// fired.
TEST_CASE("a picture that comes over the cable is kept at once, named, and told of") {
  const auto script = generic_body();
  script->contents["/capt0000.arw"] = std::string(25'000'000, 'x');
  script->on_call = [&](const std::string& call) {
    if (call == "trigger") script->tells(100ms, News::Kind::file, "/capt0000.arw");
  };
  const auto pictures = std::make_shared<ScriptedPictures>();
  auto camera = camera_on(script, profile(), pictures);
  REQUIRE(set(camera).answer == Answer::ok);
  const auto answer = release(camera, Utc::max());
  REQUIRE(answer.frames.size() == 1);
  CHECK(answer.frames.front().files == Words{"rig-0.pictures/capt0000.arw"});
  CHECK(pictures->kept.at("rig-0.pictures/capt0000.arw").size() == 25'000'000);
  const auto care = look_after(camera, *script);
  CHECK(std::ranges::count(care.notes,
                           "the picture /capt0000.arw came over the cable: "
                           "rig-0.pictures/capt0000.arw, 25.0 MB") == 1);
  CHECK(care.alarms ==
        Words{"pictures come over the cable, which slows the shooting, instead of staying on the "
              "card: put a card in and look at where the body saves them to"});
}

TEST_CASE("one that can't be kept is an alarm each time, and a disk that fills is one before") {
  const auto script = generic_body();
  const auto pictures = std::make_shared<ScriptedPictures>();
  auto camera = camera_on(script, profile(), pictures);
  REQUIRE(set(camera).answer == Answer::ok);
  script->tells(0s, News::Kind::file, "/capt0000.arw");
  pictures->free = 1'000'000'000;
  const auto before = look_after(camera, *script).alarms;
  CHECK(std::ranges::count(before, "1.0 GB are free on the disk where pictures come to") == 1);
  pictures->full = "No space left on device";
  for (int n = 1; n <= 2; ++n) {
    script->tells(0s, News::Kind::file, "/capt000" + std::to_string(n) + ".arw");
    CHECK(look_after(camera, *script).alarms ==
          Words{"the picture /capt000" + std::to_string(n) +
                ".arw came over the cable and is lost: No space left on "
                "device"});
  }
}

// Each of these stopped a run that nothing stood in the way of (the dumps they are from beside them).
TEST_CASE("what real bodies tell is no obstacle where it is none") {
  const auto codes = [](const std::shared_ptr<Script>& script) {
    Words list;
    for (const auto& finding : found_on(script)) list.push_back(finding.code);
    return list;
  };
  const auto empty = [](const Words& found) { return found.empty(); };
  const auto card = [](const std::shared_ptr<Script>& script) {
    script->controls["capturetarget"].label = "Memory card";
    return script;
  };
  CHECK(empty(codes(card(generic_body()))));
  // A self-timer that the host sets back (D750: "Self-timer").
  const auto timer = card(generic_body());
  timer->controls["capturemode"] = {"capturemode", "Timer", {"Single Shot", "Burst", "Timer"}};
  CHECK(empty(codes(timer)));
  timer->controls["capturemode"].read_only = true;
  CHECK(codes(timer) == Words{"drive"});
  // A telescope: no aperture, and the focus mode of before ("One Shot" in 23 dumps of family b).
  const auto telescope = card(family_b_body());
  telescope->offers("focusmode", "One Shot", {"One Shot"});
  telescope->offers("aperture", "Unknown value 0000", {"Unknown value 0000"});
  CHECK(empty(codes(telescope)));
  telescope->offers("aperture", "8", {"5.6", "8"});
  CHECK(codes(telescope) == Words{"autofocus"});
  // A mode without a name (Z 9: focus "Unknown value 8013").
  const auto unnamed = card(generic_body());
  unnamed->offers("focusmode", "Unknown value 8013", {"Unknown value 8013"});
  CHECK(empty(codes(unnamed)));
  // Tethered, these tell of no store at all (A7 IV, OM-1, X-T3).
  CHECK(empty(codes(sony_body())));
  CHECK(empty(codes(olympus_body())));
  CHECK(empty(codes(fuji_body())));
  const auto without_store = card(panasonic_body());
  without_store->stores.clear();
  CHECK(empty(codes(without_store)));
  // Its one way of drive is 4, a self-timer to the driver (dumps fuji-xt2 to fuji-gfx100-ii: D201).
  const auto one_way = fuji_body();
  one_way->controls["capturemode"] = {"capturemode", "Self-timer", {"Self-timer"}, true};
  CHECK(empty(codes(one_way)));
  const auto bare = card(generic_body());
  bare->stores.clear();
  CHECK(codes(bare) == Words{"no-card"});
  // It is set to off when a run begins.
  const auto asleep = card(family_b_body());
  asleep->offers("autopoweroff", "30", {});
  CHECK(empty(codes(asleep)));
  asleep->controls["autopoweroff"].read_only = true;
  CHECK(codes(asleep) == Words{"power-off"});
}

// Dumps fuji-xt3, fuji-xt4: two stores of 2^64 - 1 bytes, all free.
TEST_CASE("a store as large as a number can be is no card: nothing is known of its room") {
  const auto script = fuji_body();
  constexpr std::uint64_t all = std::numeric_limits<std::uint64_t>::max() / 1024;
  script->stores = {{all, all, false}, {all, all, false}};
  const auto session = *cables_of(script)->open({});
  const auto told = read_description(*session, {"Scripted", "usb:001,001"}, script->now);
  CHECK_FALSE(told.card);
  CHECK_FALSE(told.slot);
  CHECK(std::ranges::count(untold(told), "a card with room") == 1);
  auto camera = camera_on(script, profile());
  REQUIRE(set(camera).answer == Answer::ok);
  REQUIRE(release(camera).answer == Answer::ok);
  script->now += 20s;
  CHECK(look_after(camera, *script).alarms.empty());
}

// config.c, _get_ and _put_Olympus_ShutterSpeed: "10/20" is shown as "1/2", and sent as that, which no body
// has.
TEST_CASE("half a second is sent to an Olympus body as it has it, and read back as shown") {
  const auto script = olympus_body();
  script->offers("shutterspeed", "1/60", {"1/60", "1/2", "10/16"});
  script->on_call = [body = script.get()](const std::string& call) {
    if (call == "set shutterspeed 1/2") body->fails("set shutterspeed", 1, {result::bad_parameters, {}});
  };
  auto camera = camera_on(script, profile());
  script->shown["10/20"] = "1/2";
  const Exposure half{{1, 2}, FNumber{80}, {400}};
  const auto answer = set(camera, half);
  CHECK(answer.answer == Answer::ok);
  CHECK(answer.exposure == half);
}

TEST_CASE("what no body is asked for and yet changes its frames is an obstacle") {
  const auto told = [](const std::string& name, const std::string& label) {
    const auto script = generic_body();
    script->controls["capturetarget"].label = "Memory card";
    script->offers(name, label, {});
    const auto found = found_on(script);
    return found.empty() ? std::string{} : found.front().message;
  };
  CHECK(told("isoauto", "On") == "auto ISO is on (\"On\")");
  CHECK(told("isoauto", "Off").empty());
  CHECK(told("aeb", "+/- 1") == "bracketing is on (\"+/- 1\")");
  CHECK(told("aeb", "off").empty());
  CHECK(told("bracketing", "On") == "bracketing is on (\"On\")");
  CHECK(told("exposuredelaymode", "On") == "exposure delay is on (\"On\")");
  CHECK(told("exposurecompensation", "1.3") == "exposure compensation is on (\"1.3\")");
  CHECK(told("exposurecompensation", "0").empty());
}

TEST_CASE("a body without a known release, or without times, is told before the trip") {
  const auto errors = [](const std::shared_ptr<Script>& script) {
    Words list;
    for (const auto& finding : found_on(script)) list.push_back(finding.message);
    return list;
  };
  const auto none = panasonic_body();
  none->controls["capturetarget"].label = "Memory card";
  none->about.operations = {0x1001};
  CHECK(errors(none) == Words{"no way is known to release its shutter (libgphoto2 2.5.30)"});
  const auto times = olympus_body();
  times->controls.erase("shutterspeed");
  CHECK(errors(times) == Words{"its exposure times can't be set: libgphoto2 sets the times of OLYMPUS bodies "
                               "named E-M… alone"});
  const auto newest = family_a_body();
  newest->controls["capturetarget"].label = "Memory card";
  newest->controls["shutterspeed"] = {"shutterspeed", "0.0040s", {"0.0040s"}, true};
  CHECK(errors(newest) ==
        Words{"its exposure times can't be set: bodies of its newest generation need libgphoto2 "
              "2.5.34 (this is 2.5.30)"});
  CHECK(newest->count("set controlmode 0") == 1);  // it is left as it was
}

// 21 of 29 dumps of family b have it at 10 to 600 s; it can be set over the cable.
TEST_CASE("auto power-off is set to off where that can be") {
  const auto script = generic_body();
  script->offers("autopoweroff", "60", {});
  auto camera = camera_on(script, profile());
  REQUIRE(set(camera).answer == Answer::ok);
  CHECK(script->controls["autopoweroff"].label == "0");
  const auto without = generic_body();
  auto other = camera_on(without, profile());
  REQUIRE(set(other).answer == Answer::ok);
  CHECK(without->count("set autopoweroff 0") == 0);
}

}  // namespace noonfall::gphoto
