// Each family's own way with its bodies, over a scripted session. What the driver does is read in libgphoto2
// 2.5.30 (camlibs/ptp2); what bodies offer, in the dumps of real ones that its repository has.
#include "daemon/gphoto/family.h"

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

using Words = std::vector<std::string>;

const Exposure quick{{1, 500}, FNumber{80}, {400}};
const DriverError busy{result::camera_busy, "0x2019: PTP Device Busy"};

rig::DeviceAnswer set(CabledCamera& camera, Drive drive = Drive::single) {
  return camera.answer(rig::SettingsCall{quick, drive}, {});
}

/// As within a set: the next frame is wanted at once.
rig::DeviceAnswer release(CabledCamera& camera, int frames = 1, Utc next = Utc::min()) {
  static std::int32_t frame = 0;
  rig::ReleaseCall call{{}, Utc::max() - 1h, next};
  for (int n = 0; n < frames; ++n) call.frames.push_back({.frame = ++frame});
  return camera.answer(call, {});
}

CabledCamera opened(const std::shared_ptr<Script>& script,
                    std::shared_ptr<PictureFolder> pictures = nullptr) {
  auto camera = camera_on(script, body::find_shipped("mirrorless-20").value(), std::move(pictures));
  REQUIRE(set(camera).answer == Answer::ok);
  script->calls.clear();
  script->called.clear();
  return camera;
}

/// What was sent to the body, its settings and questions left out.
Words strokes(const Script& script) {
  Words sent;
  std::ranges::copy_if(script.calls, std::back_inserter(sent), [](const std::string& call) {
    return call == "trigger" || call.starts_with("set opcode") || call.starts_with("set capture ") ||
           call.starts_with("set eosremoterelease") || call.starts_with("set d2") ||
           call.starts_with("set controlmode") || call.starts_with("fetch") || call.starts_with("drop");
  });
  return sent;
}

std::unique_ptr<Session> session_of(const std::shared_ptr<Script>& script) {
  auto cables = cables_of(script);
  return std::move(*cables->open({}));
}

std::string family_name(const std::shared_ptr<Script>& script) {
  const auto session = session_of(script);
  return family_of(*session)->name();
}

std::string no_release(const std::shared_ptr<Script>& script) {
  const auto session = session_of(script);
  return family_of(*session)->why_no_release();
}

}  // namespace

TEST_CASE("the driver's own description of a body is read line by line, the last one holds") {
  About about;
  bool among = false;
  for (const auto* line : {"Device info:",
                           "Manufacturer: Noonfall",
                           "  Model: One",
                           "  serial number: '12'",
                           "Vendor extension ID: 0x00000006",
                           "Supported operations:",
                           "  0x1001 (Get device info)",
                           "  0x9999 (old)",
                           "Events Supported:",
                           "  0x4002 (Object Added)",
                           "Device info:",
                           "  Model: Two",
                           "Vendor extension ID: 0x0000000a",
                           "Vendor extension description: 0x9207",
                           "Supported operations:",
                           "  0x1001 (Get device info)",
                           "  0x9207 (Nikon)",
                           "  0xzz",
                           "Events Supported:",
                           "  0xc101 (x)",
                           "Device Properties Supported:",
                           "  0x5001 (Battery Level)"})
    read_debug_line(line, about, among);
  CHECK(about.extension == 0x0A);
  CHECK(about.maker == "Noonfall");
  CHECK(about.model == "Two");
  CHECK(about.operations == std::set<std::uint16_t>{0x1001, 0x9207});
}

TEST_CASE("a body's family is told by its extension, Olympus' by maker and operation") {
  CHECK(family_name(generic_body()) == "generic");
  CHECK(family_name(family_a_body()) == "a");
  CHECK(family_name(family_b_body()) == "b");
  CHECK(family_name(sony_body()) == "sony");
  CHECK(family_name(fuji_body()) == "fuji");
  CHECK(family_name(panasonic_body()) == "panasonic");
  CHECK(family_name(olympus_body()) == "olympus");
  const auto other = olympus_body();
  other->about.maker = "Another";
  CHECK(family_name(other) == "generic");
}

TEST_CASE("each family releases in its own way, and only by what the body advertises") {
  const auto sent = [](const std::shared_ptr<Script>& script) {
    auto camera = opened(script);
    CHECK(release(camera).answer == Answer::ok);
    return strokes(*script);
  };
  CHECK(sent(generic_body()) == Words{"trigger"});
  CHECK(sent(family_a_body()) == Words{"set opcode 0x9207,0xffffffff,0x0"});
  CHECK(sent(family_b_body()) ==
        Words{"set eosremoterelease Press Full MF", "set eosremoterelease Release Full"});
  CHECK(sent(sony_body()) == Words{"set capture 1", "set capture 0"});
  CHECK(sent(fuji_body()) == Words{"set d208 772", "set opcode 0x100e,0x0,0x0"});
  CHECK(sent(panasonic_body()) == Words{"set opcode 0x9404,0x3000011"});
  CHECK(sent(olympus_body()) == Words{"set opcode 0x9481,0x3", "set opcode 0x9481,0x6"});
  const auto older = family_a_body();
  older->about.operations.erase(0x9207);
  CHECK(sent(older) == Words{"trigger"});
  const auto plain = family_b_body();
  plain->about.operations = {0x1001, 0x910F};
  CHECK(sent(plain) == Words{"trigger"});
}

TEST_CASE("a body for which no release is known says so, by its library's version") {
  for (const auto& script : {generic_body(), family_a_body(), family_b_body(), sony_body(), fuji_body(),
                             panasonic_body(), olympus_body()}) {
    CHECK(no_release(script).empty());
    script->about.operations = {0x1001};
    const auto why = no_release(script);
    CHECK(why == "no way is known to release its shutter (libgphoto2 2.5.30)");
  }
}

// is_canon_eos_m() of ptp-private.h, and the branch of camera_trigger_canon_eos_capture() for it.
TEST_CASE("the small bodies of family b are held until the news of their button, and refuse by it") {
  const auto script = family_b_body();
  script->about.model = "EOS M50";
  script->controls["eosremoterelease"].choices = {"None", "Press Full", "Release Full", "Press 3",
                                                  "Release 3"};
  auto camera = opened(script);
  const auto tells = script->on_call;
  script->on_call = [&](const std::string& call) {
    if (tells) tells(call);
    if (call != "set eosremoterelease Press 3") return;
    script->tells(10ms, News::Kind::other, "Button 2");
    script->tells(40ms, News::Kind::other, "Button 4");
  };
  const auto answer = release(camera);
  CHECK(answer.answer == Answer::ok);
  CHECK(strokes(*script) == Words{"set eosremoterelease Press 3", "set eosremoterelease Release 3"});
  CHECK(script->last("set eosremoterelease Release 3") - answer.released >= 40ms);

  script->on_call = [&](const std::string& call) {
    if (call == "set eosremoterelease Press 3") script->tells(10ms, News::Kind::other, "Button 3");
  };
  const auto refused = release(camera);
  CHECK(refused.answer == Answer::refused);
  CHECK(refused.why == "autofocus found nothing: set the lens to manual focus (PTP 0xA002)");
  CHECK(strokes(*script).back() == "set eosremoterelease Release 3");
}

// A busy press wasn't let go: 23 frames became 1 (run).
TEST_CASE("a press that is answered busy is let go") {
  struct Press {
    std::shared_ptr<Script> script;
    std::string call;
    Words sent;
  };
  const std::vector<Press> presses{
      {family_b_body(),
       "set eosremoterelease",
       {"set eosremoterelease Press Full MF", "set eosremoterelease Release Full"}},
      {sony_body(), "set capture", {"set capture 1", "set capture 0"}},
      {olympus_body(), "set opcode", {"set opcode 0x9481,0x3", "set opcode 0x9481,0x6"}}};
  for (const auto& [script, call, sent] : presses) {
    CAPTURE(call);
    auto camera = opened(script);
    script->fails(call, 1, busy);
    CHECK(release(camera).answer == Answer::busy);
    CHECK(strokes(*script) == sent);
  }
}

// The driver's own trigger goes on asking after both (library.c, camera_trigger_capture()); G#160, G#205.
TEST_CASE("of family a, an invalid status and a mirror that is up are busy") {
  for (const auto* code : {"0xa004", "0xa207"}) {
    const auto script = family_a_body();
    auto camera = opened(script);
    script->fails("set opcode", 1,
                  {result::unspecific,
                   std::string{"PTP_OC 0x9207 receiving resp failed: PTP Undefined Error ("} + code + ")"});
    CHECK(release(camera).answer == Answer::busy);
    CHECK(release(camera).answer == Answer::ok);
  }
}

TEST_CASE("a Sony body's pictures go to the card by the raw property, read back") {
  const auto script = sony_body();
  auto camera = camera_on(script, body::find_shipped("mirrorless-20").value());
  REQUIRE(set(camera).answer == Answer::ok);
  CHECK(script->controls["d222"].label == "16");
  CHECK(script->count("set capturetarget card") == 0);
  CHECK(camera.look_after(script->now, script->now).alarms.empty());
}

TEST_CASE("one that knows only both sends them to both, one that can't be set is an alarm") {
  const auto both = sony_body();
  both->offers("d222", "1", {"1", "17"});
  auto camera = camera_on(both, body::find_shipped("mirrorless-20").value());
  REQUIRE(set(camera).answer == Answer::ok);
  CHECK(both->controls["d222"].label == "17");
  const auto host = sony_body();
  host->offers("d222", "1", {"1"});
  auto other = camera_on(host, body::find_shipped("mirrorless-20").value());
  REQUIRE(set(other).answer == Answer::ok);
  const auto alarms = other.look_after(host->now, host->now).alarms;
  REQUIRE(alarms.size() == 1);
  CHECK(alarms.front().find("pictures go to this computer alone") != std::string::npos);
}

TEST_CASE("a body that tells of no pictures is believed, one frame after the other") {
  const auto script = sony_body();
  auto camera = opened(script);
  for (int n = 0; n < 5; ++n) {
    const auto answer = release(camera, 1, Utc::max());
    REQUIRE(answer.answer == Answer::ok);
    CHECK(answer.frames.front().confirmed);
    CHECK(answer.at - answer.released < 100ms);
  }
  CHECK(strokes(*script).size() == 10);
}

// The copy in the body's buffer, neither fetched nor dropped: busy for good after one frame (run; L#366,
// G#346).
TEST_CASE("a Fuji body's copies are fetched, kept and dropped, and a busy one is emptied") {
  const auto script = fuji_body();
  const auto pictures = std::make_shared<ScriptedPictures>();
  auto camera = opened(script, pictures);
  int held = 0;
  script->on_call = [&](const std::string& call) {
    if (call.starts_with("drop")) --held;
    if (call != "set opcode 0x100e,0x0,0x0") return;
    if (held > 0) return script->fails("set opcode", 1, busy);
    ++held;
    script->tells(200ms, News::Kind::file,
                  "/store_10000001/DSCF000" + std::to_string(pictures->kept.size() + 1) + ".RAF");
  };
  int taken = 0;
  for (int tries = 0; taken < 4 && tries < 100; ++tries) {
    taken += release(camera).answer == Answer::ok ? 1 : 0;
    script->now += 10ms;
  }
  CHECK(taken == 4);
  CHECK(pictures->kept.size() >= 3);
  CHECK(std::ranges::count(strokes(*script), "set opcode 0x100e,0x0,0x0") >= 4);
  CHECK(script->count("trigger") == 0);
  CHECK(script->count("drop /store_10000001/DSCF0001.RAF") == 1);
}

TEST_CASE("bursts are asked for only as the body can: told their length, held, or not at all") {
  const auto frames = [](const std::shared_ptr<Script>& script) {
    auto camera = opened(script);
    const auto drive = set(camera, Drive::continuous).drive;
    if (drive == Drive::single) return std::size_t{0};
    return release(camera, 5).frames.size();
  };
  CHECK(frames(family_b_body()) == 5);
  CHECK(frames(sony_body()) == 5);
  CHECK(frames(olympus_body()) == 5);
  const auto told = family_a_body();
  CHECK(frames(told) == 5);
  CHECK(told->count("set burstnumber 5") == 1);
  // 5013 is read-only on bodies with a drive dial (D850, D780, D6, Z9); others have no burstnumber at all.
  const auto dial = family_a_body();
  dial->controls["capturemode"].read_only = true;
  CHECK(frames(dial) == 0);
  const auto without = family_a_body();
  without->controls.erase("burstnumber");
  CHECK(frames(without) == 0);
  const auto plain = generic_body();
  plain->controls.erase("burstnumber");
  CHECK(frames(plain) == 0);
  CHECK(frames(panasonic_body()) == 0);
  CHECK(frames(fuji_body()) == 0);
}

// The dumps of Z 9 and Zf, both at M: shutterspeed is read-only with one choice, until the host takes
// control.
TEST_CASE("the newest generation of family a is taken control of, at M alone: an older one isn't") {
  const auto newest = family_a_body();
  newest->controls["shutterspeed"] = {"shutterspeed", "0.0040s", {"0.0040s"}, true};
  newest->on_call = [body = newest.get()](const std::string& call) {
    if (call == "set controlmode 1")
      body->offers("shutterspeed", "0.0040s", {"0.0040s", "0.0020s", "0.0167s"});
  };
  auto camera = camera_on(newest, body::find_shipped("mirrorless-20").value());
  const auto answer = set(camera);
  CHECK(answer.answer == Answer::ok);
  CHECK(answer.exposure == quick);
  CHECK(newest->count("set controlmode 1") == 1);

  const auto at_p = family_a_body();
  at_p->controls["shutterspeed"] = {"shutterspeed", "0.0040s", {"0.0040s"}, true};
  at_p->offers("expprogram", "P", {"P"});
  auto other = camera_on(at_p, body::find_shipped("mirrorless-20").value());
  CHECK(set(other).answer == Answer::refused);
  CHECK(at_p->count("set controlmode 1") == 0);

  const auto older = family_a_body();
  (void)opened(older);
  CHECK(older->count("set controlmode 1") == 0);
}

// 2.5.30 falls back to an operation that upstream's virtual body answers "OK" to without a picture: none
// of 13.
TEST_CASE("after three frames without a picture the driver's own trigger is tried, and that is told once") {
  const auto script = family_a_body();
  auto camera = opened(script);
  script->on_call = [&, number = 0](const std::string& call) mutable {
    if (call == "trigger")
      script->tells(300ms, News::Kind::file, "/store_1/DCIM/100A/A000" + std::to_string(++number) + ".RAW");
  };
  int confirmed = 0;
  Words alarms;
  for (int n = 0; n < 8; ++n) {
    const auto answer = release(camera, 1, Utc::max());
    REQUIRE(answer.answer == Answer::ok);
    confirmed += answer.frames.front().confirmed ? 1 : 0;
    std::ranges::copy(camera.look_after(script->now, script->now).alarms, std::back_inserter(alarms));
  }
  CHECK(confirmed == 5);
  CHECK(script->count("trigger") == 5);
  CHECK(alarms == Words{"of 3 frames in a row no picture was announced: from now on they are taken by the "
                        "driver's own trigger"});
}

}  // namespace noonfall::gphoto
