// Each family's own way with its bodies, over a scripted session. What the driver does is read in libgphoto2
// 2.5.30 (camlibs/ptp2); what bodies offer, in the dumps of real ones that its repository has.
#include "daemon/gphoto/family.h"

#include <algorithm>
#include <tuple>

#include <doctest/doctest.h>
#include <fmt/format.h>

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

/// Family a with what dump nikon-z6 has of brackets.
std::shared_ptr<Script> body_with_brackets() {
  auto script = family_a_body();
  script->offers("bracketing", "Off", {"On", "Off"});
  script->offers("bracketset", "AE & Flash", {"AE & Flash", "AE only", "Flash only"});
  script->offers("bracketmode", "Flash/speed", {"Flash/speed", "Flash/speed/aperture"});
  script->offers("bracketorder", "MTR > Under", {"MTR > Under", "Under > MTR"});
  script->offers("aebracketingstep", "1/3 EV", {"1/3 EV", "1/2 EV", "2/3 EV", "1 EV", "2 EV", "3 EV"});
  script->offers("aebracketingpattern", "0 image",
                 {"3 images (normal, under and over)", "5 images (normal, 2 unders and 2 overs)", "0 image"});
  return script;
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

// config.c: the labels of "aeb" (16-bit table), of Sony's capturemode, of Nikon's step and pattern (3947,
// 3973, 6259, 6304); dumps canon-eos-r10, sony-a6400, nikon-z6.
TEST_CASE("a bracket of the body's own: its step and drive are set, one press, each frame with its time") {
  struct Case {
    std::shared_ptr<Script> script;
    std::string name;
    std::string on;
    std::string off;
    std::size_t strokes;
  };
  const rig::SettingsCall wanted{quick, Drive::bracket, {{1, 500}, {1, 2000}, {1, 125}}};
  const auto b = family_b_body();
  b->offers("aeb", "off", {"off", "+/- 1/3", "+/- 1", "+/- 1 2/3", "+/- 2"});
  const auto sony = sony_body();
  sony->offers(
      "capturemode", "Single Shot",
      {"Single Shot", "Burst", "Bracketing C 1.0 Steps 3 Pictures", "Bracketing C 2.0 Steps 3 Pictures"});
  for (const auto& [script, name, on, off, presses] :
       {Case{b, "aeb", "+/- 2", "off", 2},
        Case{sony, "capturemode", "Bracketing C 2.0 Steps 3 Pictures", "Single Shot", 2},
        Case{body_with_brackets(), "bracketing", "On", "Off", 1}}) {
    CAPTURE(name);
    {
      auto camera = opened(script);
      const auto set_to = camera.answer(wanted, {});
      CHECK(set_to.answer == Answer::ok);
      CHECK(set_to.drive == Drive::bracket);
      CHECK(set_to.exposure == quick);
      CHECK(script->controls[name].label == on);
      script->calls.clear();
      const auto answer = release(camera, 3);
      REQUIRE(answer.answer == Answer::ok);
      REQUIRE(answer.frames.size() == 3);
      CHECK(strokes(*script).size() == presses);
      CHECK(answer.frames[2].closed - answer.frames[2].opened == 7813us);  // 1/128 s, rounded
      CHECK(answer.frames[1].opened - answer.frames[0].opened == 50ms);  // the profile's continuous interval
      CHECK(release(camera, 2).answer == Answer::refused);
      // Switched off again for what isn't one, and when it is left.
      CHECK(set(camera).drive == Drive::single);
      CHECK(script->controls[name].label == off);
      CHECK(camera.answer(wanted, {}).drive == Drive::bracket);
      CHECK(script->controls[name].label == on);
    }
    CHECK(script->controls[name].label == off);
  }
}

TEST_CASE("family a: the bracket's step, number and order are the plan's, or it isn't begun") {
  const rig::SettingsCall five{quick, Drive::bracket, {{1, 2000}, {1, 1000}, {1, 500}, {1, 250}, {1, 125}}};
  const auto script = body_with_brackets();
  {
    auto camera = opened(script);
    CHECK(camera.answer(five, {}).drive == Drive::bracket);
    CHECK(script->controls["aebracketingpattern"].label == "5 images (normal, 2 unders and 2 overs)");
    CHECK(script->controls["aebracketingstep"].label == "1 EV");
    CHECK(script->controls["bracketorder"].label == "Under > MTR");
    CHECK(script->controls["bracketset"].label == "AE only");
    CHECK(script->controls["capturemode"].label == "Burst");
    (void)release(camera, 5);
    CHECK(script->controls["burstnumber"].label == "5");
  }
  // Dump nikon-d850: both can be read only, and stand at other values; its drive is a dial.
  for (const auto* name : {"aebracketingstep", "aebracketingpattern", "capturemode"}) {
    CAPTURE(name);
    const auto dials = body_with_brackets();
    dials->controls[name].read_only = true;
    auto camera = opened(dials);
    const auto answer = camera.answer(five, {});
    CHECK(answer.answer == Answer::ok);
    CHECK(answer.drive == Drive::single);
    CHECK(dials->controls["bracketing"].label == "Off");
  }
}

TEST_CASE("a bracket that an earlier host left on is set to off before anything else is set") {
  const auto b = family_b_body();
  b->offers("aeb", "+/- 2", {"off", "+/- 2"});
  const auto a = body_with_brackets();
  a->controls["bracketing"].label = "On";
  const auto sony = sony_body();
  const std::string left = "Bracketing C 2.0 Steps 3 Pictures";
  sony->offers("capturemode", left, {"Single Shot", "Burst", left});
  for (const auto& [script, on, off] : {std::tuple{b, "+/- 2", "set aeb off"},
                                        {a, "On", "set bracketing Off"},
                                        {sony, left.c_str(), "set capturemode Single Shot"}}) {
    CAPTURE(off);
    auto camera = camera_on(script, body::find_shipped("mirrorless-20").value());
    const auto care = camera.look_after(script->now, Utc::max());
    Words sent;
    std::ranges::copy_if(script->calls, std::back_inserter(sent),
                         [](const std::string& call) { return call.starts_with("set "); });
    // A shutter left open is closed before.
    std::erase_if(sent, [](const std::string& call) { return call.starts_with("set eosremoterelease"); });
    REQUIRE_FALSE(sent.empty());
    CHECK(sent.front() == off);
    CHECK(std::ranges::count(care.notes, fmt::format("bracketing was on (\"{}\") and is set to off", on)) ==
          1);
  }
  b->controls["aeb"].label = "+/- 2";
  b->fails("set aeb", 1, {result::unspecific, "0x2005: PTP Operation Not Supported"});
  auto camera = camera_on(b, body::find_shipped("mirrorless-20").value());
  const auto alarms = camera.look_after(b->now, Utc::max()).alarms;
  REQUIRE_FALSE(alarms.empty());
  CHECK(alarms.front().starts_with("bracketing is on (\"+/- 2\") and can't be set to off: "));
}

// L#966: a release that comes too early does nothing, and nothing is said of it. What a body takes beside the
// exposure is as much faster or slower than its profile says: mirrorless-20's 0.4 s, 0.2 s with 1 s.
TEST_CASE(
    "a body that announces nothing is asked as early as it takes frames, and those it ignores aren't told as "
    "taken") {
  for (const double pace : {0.7, 1.0, 1.3}) {
    CAPTURE(pace);
    const auto script = sony_body();
    script->call_time = 3ms;
    Utc free;
    int taken = 0;
    script->on_call = [&](const std::string& call) {
      if (call != "set capture 1" || script->now < free) return;
      ++taken;
      const bool is_long = script->controls["shutterspeed"].label == "1";
      const auto more = std::chrono::duration_cast<Duration>(pace * (is_long ? 200ms : 400ms));
      free = script->now + (is_long ? 1s : 0s) + more;
      for (int n = 0; n < 40; ++n)
        script->tells(Duration{60ms + n * 2ms}, News::Kind::other, "PTP Property d2d3 changed");
    };
    auto camera = opened(script);
    taken = 0;
    const auto until = script->now + 60s;
    int fired = 0;
    for (int n = 0; script->now < until; ++n) {
      auto exposure = quick;
      if (n % 4 == 0) exposure.shutter = {1, 1};
      while (camera.answer(rig::SettingsCall{exposure, Drive::single}, {}).answer == Answer::busy) {
      }
      auto answer = release(camera, 1, script->now);
      while (answer.answer == Answer::busy) answer = release(camera, 1, script->now);
      fired += answer.answer == Answer::ok && answer.frames.front().confirmed ? 1 : 0;
    }
    CHECK(fired <= taken + 2);  // until it is known that it tells of frames at all
    CHECK(taken >= 0.93 * 4 * 60 / (1 + pace * 1.4));
  }
}

// A crowded machine or hub (common practice, no source): the button's word comes late to the body, which is
// then busy for as much longer.
TEST_CASE("after a release that was held up on its way, a body that announces nothing is asked later") {
  const auto script = sony_body();
  script->call_time = 3ms;
  Utc free;
  int presses = 0;
  int taken = 0;
  script->on_call = [&](const std::string& call) {
    if (call != "set capture 1") return;
    if (++presses % 7 == 0) script->now += 150ms;
    if (script->now < free) return;
    ++taken;
    free = script->now + 400ms;
    for (int n = 0; n < 40; ++n)
      script->tells(Duration{60ms + n * 2ms}, News::Kind::other, "PTP Property d2d3 changed");
  };
  auto camera = opened(script);
  REQUIRE(camera.answer(rig::SettingsCall{quick, Drive::single}, {}).answer == Answer::ok);
  presses = taken = 0;
  int fired = 0;
  for (int n = 0; n < 60; ++n) {
    const auto answer = release(camera, 1, script->now);
    fired += answer.answer == Answer::ok && answer.frames.front().confirmed ? 1 : 0;
  }
  CHECK(fired <= taken);
  CHECK(presses <= taken + 4);
}

TEST_CASE("a body without that bracket says that it is at single frames") {
  const auto b = family_b_body();
  b->offers("aeb", "off", {"off", "+/- 1"});
  for (const auto& script : {b, family_a_body(), sony_body(), generic_body(), fuji_body()}) {
    auto camera = opened(script);
    const auto answer =
        camera.answer(rig::SettingsCall{quick, Drive::bracket, {{1, 500}, {1, 2000}, {1, 125}}}, {});
    CHECK(answer.answer == Answer::ok);
    CHECK(answer.drive == Drive::single);
  }
}

}  // namespace noonfall::gphoto
