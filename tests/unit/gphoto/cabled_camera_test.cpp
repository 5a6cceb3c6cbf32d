// The cabled camera over a scripted session: what it asks of a body and when, in a time that passes only as
// the script says. tests/wire holds the same camera to the contract over the real library.
#include "daemon/gphoto/cabled_camera.h"

#include <algorithm>

#include <doctest/doctest.h>

#include "lib/body/shipped.h"
#include "tests/unit/gphoto/scripted_body.h"

namespace noonfall::gphoto {
namespace {

using namespace std::chrono_literals;
using body::Drive;
using exposure::Exposure;
using exposure::FNumber;
using rig::Answer;

const Exposure quick{{1, 500}, FNumber{80}, {400}};
const DriverError refusal{result::unspecific, "property read only (0x200f: PTP Access Denied)"};
const DriverError silence{result::timed_out, {}};

body::Profile profile() {
  return body::find_shipped("mirrorless-20").value();
}

rig::DeviceAnswer set(CabledCamera& camera, const Exposure& exposure, Drive drive = Drive::single) {
  return camera.answer(rig::SettingsCall{exposure, drive}, {});
}

rig::DeviceAnswer release(CabledCamera& camera, int frames = 1, Utc stop_by = Utc::max() - 1h) {
  static std::int32_t next = 0;
  rig::ReleaseCall call{{}, stop_by};
  for (int n = 0; n < frames; ++n) call.frames.push_back({.frame = ++next});
  return camera.answer(call, {});
}

/// A picture of each release, announced so long after it.
void announce_pictures(Script& script, const std::string& release, Duration after) {
  script.on_call = [&script, release, after, number = 0](const std::string& call) mutable {
    if (call != release) return;
    script.tells(after, News::Kind::file,
                 "/store_00010001/DCIM/100A/A000" + std::to_string(++number) + ".RAW");
  };
}

std::vector<std::string> settings_sent(const Script& script) {
  std::vector<std::string> sent;
  std::ranges::copy_if(script.calls, std::back_inserter(sent),
                       [](const std::string& call) { return call.starts_with("set "); });
  return sent;
}

using Words = std::vector<std::string>;

}  // namespace

TEST_CASE(
    "pictures are pointed to the card before any other setting, and what differs is sent, nothing else") {
  const auto script = generic_body();
  auto camera = camera_on(script, profile());
  const auto answer = set(camera, quick);
  CHECK(answer.answer == Answer::ok);
  CHECK(answer.exposure == quick);
  CHECK(settings_sent(*script) ==
        Words{"set capturetarget Memory card", "set shutterspeed 1/500", "set iso 400"});
  script->calls.clear();
  CHECK(set(camera, quick).answer == Answer::ok);
  CHECK(settings_sent(*script).empty());
}

TEST_CASE("of a family whose news count, a setting is waited for until the body tells of it") {
  const auto script = family_b_body();
  auto camera = camera_on(script, profile());
  REQUIRE(camera.answer(rig::DrainCall{}, {}).answer == Answer::ok);
  const auto began = script->now;
  const auto answer = set(camera, quick);
  CHECK(answer.exposure == quick);
  CHECK(answer.at - began >= 20ms);  // as the script's body tells
  CHECK(answer.at - began < 30ms);
}

TEST_CASE(
    "a setting that the body never tells of is waited for no longer than it may take, and read as it is") {
  const auto script = family_b_body();
  script->on_call = nullptr;
  auto camera = camera_on(script, profile());
  REQUIRE(camera.answer(rig::DrainCall{}, {}).answer == Answer::ok);
  const auto began = script->now;
  const auto answer = set(camera, quick);
  CHECK(answer.answer == Answer::ok);
  CHECK(answer.exposure == quick);
  CHECK(answer.at - began < 3 * (40ms + 80ms + 30ms + 60ms) + 600ms);  // of the profile's setting times
}

TEST_CASE("a setting refused keeps its value, and what was sent before it is read back") {
  const auto script = generic_body();
  script->fails("set iso", 1, refusal);
  auto camera = camera_on(script, profile());
  const auto answer = set(camera, quick);
  CHECK(answer.answer == Answer::refused);
  CHECK(answer.why == "the body denies it (PTP 0x200F)");
  CHECK(answer.exposure == Exposure{{1, 500}, FNumber{80}, {100}});
}

TEST_CASE("a refusal while reading back leaves no exposure, and frames are timed by what was sent") {
  const auto script = generic_body();
  auto camera = camera_on(script, profile());
  REQUIRE(camera.answer(rig::DrainCall{}, {}).answer == Answer::ok);
  script->fails("read iso", 1, refusal);
  const auto answer = set(camera, quick);
  CHECK(answer.answer == Answer::refused);
  CHECK_FALSE(answer.exposure);
  const auto taken = release(camera);
  REQUIRE(taken.frames.size() == 1);
  CHECK(taken.frames.front().closed - taken.frames.front().opened < 3ms);  // 1/500 s, not a default's 1 s
}

TEST_CASE("a frame is stamped with its release and the measured lag, and confirmed by its picture") {
  const auto script = generic_body();
  announce_pictures(*script, "trigger", 300ms);
  auto camera = camera_on(script, profile());
  REQUIRE(set(camera, quick).answer == Answer::ok);
  const auto answer = release(camera);
  REQUIRE(answer.answer == Answer::ok);
  CHECK(answer.released == script->last("trigger"));
  REQUIRE(answer.frames.size() == 1);
  CHECK(answer.frames.front().opened == answer.released + 60ms);
  CHECK(answer.frames.front().confirmed);
  CHECK(answer.frames.front().files == Words{"DCIM/100A/A0001.RAW"});
  CHECK(camera.file_size("DCIM/100A/A0001.RAW")->value == doctest::Approx(25));
  CHECK(script->count("size /store_00010001/DCIM/100A/A0001.RAW") == 1);
}

TEST_CASE("a picture that isn't announced in time leaves its frame unconfirmed, and is noted when it comes") {
  const auto script = generic_body();
  announce_pictures(*script, "trigger", 3s);
  auto camera = camera_on(script, profile());
  REQUIRE(set(camera, quick).answer == Answer::ok);
  const auto answer = release(camera);
  REQUIRE(answer.frames.size() == 1);
  CHECK_FALSE(answer.frames.front().confirmed);
  (void)camera.look_after(script->now, script->now + 10s);
  script->now += 5s;
  const auto care = camera.look_after(script->now, script->now + 10s);
  REQUIRE(care.notes.size() == 1);
  CHECK(care.notes.front().find("was announced late: DCIM/100A/A0001.RAW") != std::string::npos);
}

TEST_CASE("a release that fails without a reason of the body's own may have taken its frame") {
  const auto script = generic_body();
  auto camera = camera_on(script, profile());
  REQUIRE(set(camera, quick).answer == Answer::ok);
  script->fails("trigger", 1, {result::unspecific, "could not trigger"});
  CHECK(release(camera).answer == Answer::no_word);
  script->fails("trigger", 1, {result::unspecific, "failed (0x200c: PTP Store Full)"});
  CHECK(release(camera).answer == Answer::refused);
}

TEST_CASE("a picture that an earlier host released is none of ours, told before our release or just after") {
  for (const bool before : {true, false}) {
    CAPTURE(before);
    const auto script = generic_body();
    announce_pictures(*script, "trigger", 300ms);
    auto camera = camera_on(script, profile());
    if (before) script->tells(0us, News::Kind::file, "/store_00010001/DCIM/100A/A0000.RAW");
    REQUIRE(set(camera, quick).answer == Answer::ok);
    if (!before) script->tells(0us, News::Kind::file, "/store_00010001/DCIM/100A/A0000.RAW");
    const auto answer = release(camera);
    REQUIRE(answer.frames.size() == 1);
    CHECK(answer.frames.front().files == Words{"DCIM/100A/A0001.RAW"});
  }
}

TEST_CASE("a burst is held for half an interval past its last opening, and the button is let go") {
  const auto script = family_b_body();
  auto camera = camera_on(script, profile());
  REQUIRE(set(camera, quick, Drive::continuous).drive == Drive::continuous);
  const auto answer = release(camera, 5);
  REQUIRE(answer.frames.size() == 5);
  const auto pressed = script->last("set eosremoterelease Press Full MF");
  const auto let_go = script->last("set eosremoterelease Release Full");
  CHECK(let_go - pressed >= 60ms + 4 * 50ms + 25ms);  // lag and intervals of the profile
  CHECK(let_go - pressed < 60ms + 4 * 50ms + 35ms);
}

TEST_CASE("a burst is no longer than may be") {
  const auto script = family_b_body();
  auto camera = camera_on(script, profile());
  REQUIRE(set(camera, quick, Drive::continuous).drive == Drive::continuous);
  CHECK(release(camera, 50, script->now + 68ms + 3 * 50ms + 10ms).frames.size() == 4);
}

TEST_CASE(
    "a busy body takes nothing: one that answers nothing three times running is gone until found again") {
  const auto script = generic_body();
  auto camera = camera_on(script, profile());
  REQUIRE(set(camera, quick).answer == Answer::ok);
  script->fails("trigger", 1, {result::camera_busy, {}});
  const auto busy = release(camera);
  CHECK(busy.answer == Answer::busy);
  CHECK(busy.frames.empty());
  script->fails("trigger", 3, silence);
  CHECK(release(camera).answer == Answer::no_word);
  CHECK(release(camera).answer == Answer::no_word);
  const auto gone = release(camera);
  CHECK(gone.answer == Answer::gone);
  CHECK(gone.why == "the body answered nothing 3 times running");
  const auto calls = script->calls.size();
  CHECK(release(camera).answer == Answer::gone);
  CHECK(script->calls.size() == calls);
  CHECK(camera.answer(rig::ReopenCall{order::Remedy::reset_port}, {}).answer == Answer::ok);
  CHECK(script->count("reset") == 1);
  CHECK(release(camera).answer == Answer::ok);
}

TEST_CASE("a shutter at bulb is open for as long as the exposure, and closed at once when a stop is wanted") {
  const auto script = family_b_body();
  auto camera = camera_on(script, profile());
  const Exposure bulb{{4, 1}, FNumber{80}, {100}};  // the body's list ends at 1 s
  REQUIRE(set(camera, bulb).exposure == bulb);
  const auto answer = release(camera);
  REQUIRE(answer.answer == Answer::ok);
  CHECK(script->last("set eosremoterelease Release Full") - answer.released == 60ms + 4s);
  script->stopping = true;
  const auto stopped = release(camera);
  REQUIRE(stopped.answer == Answer::ok);
  CHECK(script->last("set eosremoterelease Release Full") - stopped.released < 10ms);
}

TEST_CASE("the card is listed once there is time, and never when something is due within what that takes") {
  const auto script = generic_body();
  script->listing_time = 40s;
  auto camera = camera_on(script, profile());
  (void)camera.look_after(script->now, script->now + 2s);
  (void)camera.look_after(script->now, script->now + 29s);
  CHECK(script->count("list") == 0);
  (void)camera.look_after(script->now, script->now + 31s);
  CHECK(script->count("list") == 1);
  // It took longer than was thought; after the next opening that much has to be left.
  REQUIRE(camera.answer(rig::ReopenCall{}, {}).answer == Answer::ok);
  (void)camera.look_after(script->now, script->now + 39s);
  CHECK(script->count("list") == 1);
  (void)camera.look_after(script->now, script->now + 41s);
  CHECK(script->count("list") == 2);
}

TEST_CASE("a small picture is asked for once the card was listed, in no more time than there is") {
  const auto script = generic_body();
  auto camera = camera_on(script, profile());
  announce_pictures(*script, "trigger", 50ms);
  (void)set(camera, quick);
  (void)release(camera);
  const std::string file = "DCIM/100A/A0001.RAW";
  CHECK_FALSE(camera.preview(file, script->now + 10s));
  (void)camera.look_after(script->now, script->now + 31s);
  CHECK(camera.preview(file, script->now + 10s) == "small /store_00010001/" + file);
  CHECK(script->patience == 4s);
  CHECK_FALSE(camera.preview("DCIM/100A/OTHER.RAW", script->now + 10s));
  // One that the body doesn't give is noted once.
  script->fails("preview", 2, refusal);
  for (const bool first : {true, false}) {
    CHECK_FALSE(camera.preview(file, script->now + 10s));
    const auto notes = camera.look_after(script->now, script->now + 10s).notes;
    CHECK(std::ranges::count_if(notes, [](const auto& note) {
            return note.find("gives no small picture") != std::string::npos;
          }) == (first ? 1 : 0));
  }
}

TEST_CASE("a listing that fails is tried again after pauses that grow") {
  const auto script = generic_body();
  script->fails("list", 1000, refusal);
  auto camera = camera_on(script, profile());
  const auto until = script->now + 1h;
  while (script->now < until) {
    const auto care = camera.look_after(script->now, script->now + 10h);
    REQUIRE_FALSE(care.gone);
    script->now = *care.again;
  }
  CHECK(script->count("list") > 5);
  CHECK(script->count("list") < 20);
}

TEST_CASE("between calls a body is kept awake, and told of when it went") {
  const auto script = generic_body();
  auto camera = camera_on(script, profile());
  const auto care = camera.look_after(script->now, script->now + 10s);
  REQUIRE(care.again);
  CHECK(*care.again - script->now == 2s);
  CHECK(script->count("news") > 0);
  script->plugged = false;
  const auto gone = camera.look_after(*care.again, *care.again + 10s).gone;
  REQUIRE(gone);
  CHECK(gone->why == "the body is off the line (driver code -52)");
}

TEST_CASE("a picture on no card is an alarm, said once") {
  const auto script = generic_body();
  auto camera = camera_on(script, profile());
  (void)camera.look_after(script->now, script->now + 10s);
  for (int n = 0; n < 2; ++n) {
    script->tells(0s, News::Kind::file, "/capt0000.raw");
    CHECK(camera.look_after(script->now, script->now + 10s).alarms.size() == (n == 0 ? 1 : 0));
  }
}

TEST_CASE("without a profile, a release is answered at once and the picture named by a later answer") {
  const auto script = generic_body();
  announce_pictures(*script, "trigger", 300ms);
  auto camera = camera_on(script, std::nullopt);
  REQUIRE(set(camera, quick).answer == Answer::ok);
  const auto first = release(camera);
  REQUIRE(first.frames.size() == 1);
  CHECK(first.at - first.released < 1ms);
  CHECK(first.frames.front().opened == first.released);
  CHECK(first.frames.front().files.empty());
  script->now += 1s;
  CHECK(release(camera).frames.front().files == Words{"DCIM/100A/A0001.RAW"});
  CHECK(release(camera, 0).answer == Answer::refused);
}

TEST_CASE("without a profile, a burst is the pictures that came, and over when another ISO value is taken") {
  const auto script = generic_body();
  auto camera = camera_on(script, std::nullopt);
  REQUIRE(set(camera, quick, Drive::continuous).drive == Drive::continuous);
  script->on_call = [&](const std::string& call) {
    if (call != "trigger") return;
    for (int n = 1; n <= 4; ++n) {
      script->tells(n * 100ms, News::Kind::file,
                    "/store_00010001/DCIM/100A/A000" + std::to_string(n) + ".RAW");
    }
    script->fails("set iso", 200, {result::camera_busy, {}});
  };
  const auto answer = release(camera, 4);
  REQUIRE(answer.answer == Answer::ok);
  CHECK(answer.frames.size() == 4);
  CHECK(answer.frames.front().files.size() == 4);
  CHECK(camera.announcements().size() == 4);
  CHECK(answer.at > answer.released + 200 * 1ms);  // two hundred times busy, a millisecond of news after each
  CHECK(answer.at < answer.released + 300ms);
}

}  // namespace noonfall::gphoto
