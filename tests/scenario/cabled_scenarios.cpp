// What goes wrong between the camera library and a body. What was told of real ones: reports at
// gphoto/libgphoto2 (L#), gphoto/gphoto2 (G#) and jim-easterbrook/python-gphoto2 (P#).
#include <string_view>

#include "tests/scenario/world.h"

namespace noonfall::scenario {
namespace {

using namespace std::chrono_literals;
using gphoto::DriverError;
namespace result = gphoto::result;

using When = std::function<bool(const std::string& call)>;

/// From `from` until `until` after C2, calls of that kind go so.
Act going_wrong(When calls, Wrong how, Duration from, Duration until) {
  return {from, [=](World& world) {
            auto& cable = *world.cable;
            const auto begins = world.c2() + from;
            const auto over = world.c2() + until;
            cable.wrong = [&cable, calls, how, begins, over](std::size_t, const std::string& call) {
              const bool now = cable.script->now >= begins && cable.script->now < over;
              return now && calls(call) ? std::optional{how} : std::nullopt;
            };
          }};
}

When starts_with(std::string_view words) {
  return [words](const std::string& call) { return call.starts_with(words); };
}
bool any(const std::string& /*call*/) {
  return true;
}

Act plug(bool in, Duration at) {
  return {at, [in](World& world) { world.cable->script->plugged = in; }};
}

Act pictures(Cable::Pictures how, Duration at) {
  return {at, [how](World& world) { world.cable->pictures = how; }};
}

const DriverError no_focus{result::unspecific, "Canon EOS Full-Press failed: Perhaps no focus?"};
const DriverError store_full{result::unspecific, "Failed to trigger (0x200c: PTP Store Full)"};
const DriverError silence{result::timed_out, {}};
const DriverError refusal{result::unspecific, {}};
const DriverError read_only{result::unspecific, "Property is read only (0x200f: PTP Access Denied)"};
const DriverError elsewhere{result::claimed_elsewhere, "Could not claim the USB device"};

Scenario cabled(Scenario scenario) {
  scenario.topic = "camera at a cable";
  scenario.bodies = Bodies::cabled;
  return scenario;
}

}  // namespace

std::vector<Scenario> of_cabled_bodies() {
  std::vector<Scenario> all{
      {.number = 20,
       .fault = "autofocus hunts for 15 s of totality: the driver says \"Perhaps no focus?\" (L#304, G#161)",
       .begins = 20s,
       .over = 35s,
       .acts = {going_wrong(starts_with("trigger"), {no_focus, false, 2s}, 20s, 35s)}},
      {.number = 21,
       .fault = "the card is full from mid-totality on (G#188)",
       .begins = 60s,
       .over = 60s,
       .acts = {going_wrong(starts_with("trigger"), {store_full}, 60s, 1h)}},
      {.number = 22,
       .fault = "shots are taken and the call ends as refused, each (L#426, G#268)",
       .begins = 20s,
       .over = 40s,
       .acts = {going_wrong(starts_with("trigger"), {refusal, true}, 20s, 40s)}},
      {.number = 23,
       .fault = "shots are taken and the call times out, each after 5 s (L#465, L#495)",
       .begins = 20s,
       .over = 40s,
       .acts = {going_wrong(starts_with("trigger"), {silence, true, 5s}, 20s, 40s)}},
      {.number = 24,
       .fault = "the first release reads the whole card: 15 s (L#1018, L#1100)",
       .begins = -80s,
       .over = -78s,
       .acts = {going_wrong(starts_with("trigger"), {{}, false, 15s, false}, -82s, -78s)}},
      {.number = 25,
       .fault = "each setting takes two seconds for half a minute (L#291, G#306)",
       .begins = 20s,
       .over = 50s,
       .acts = {going_wrong(starts_with("set "), {{}, false, 2s, false}, 20s, 50s)}},
      {.number = 26,
       .fault = "reading a setting takes a second for half a minute (G#44, L#947)",
       .begins = 20s,
       .over = 50s,
       .acts = {going_wrong(starts_with("read "), {{}, false, 1s, false}, 20s, 50s)}},
      {.number = 27,
       .fault = "the mode dial is knocked off M: shutter times are refused for 20 s (L#1057, L#203)",
       .begins = 20s,
       .over = 40s,
       .acts = {going_wrong(starts_with("set shutterspeed"), {read_only}, 20s, 40s)}},
      {.number = 28,
       .fault = "no call is answered for 25 s, each waited for 5 s (G#393, L#611)",
       .begins = 20s,
       .over = 45s,
       .acts = {going_wrong(any, {silence, false, 5s}, 20s, 45s)}},
      {.number = 29,
       .fault = "the cable falls out for 15 s, and the desktop has the body for 10 s more (G#154, L#617)",
       .begins = 20s,
       .over = 45s,
       .acts = {plug(false, 20s), plug(true, 35s), going_wrong(starts_with("open"), {elsewhere}, 35s, 45s)}},
      {.number = 30,
       .fault = "no picture is announced all through totality (L#613, L#929)",
       .begins = 0s,
       .over = 120s,
       .acts = {pictures(Cable::Pictures::silent, 0s), pictures(Cable::Pictures::announced, 120s)}},
      {.number = 31,
       .fault = "pictures go to the body's memory, not to the card (L#197, L#374)",
       .begins = -85s,
       .over = -85s,
       .acts = {pictures(Cable::Pictures::in_memory, -85s)}},
      {.number = 32,
       .fault = "the battery is at 5 %, empty at C2 + 60 s and changed at C2 + 100 s (G#391)",
       .begins = 60s,
       .over = 100s,
       .acts = {{-40s, [](World& world) { world.cable->script->controls["batterylevel"].label = "5%"; }},
                plug(false, 60s),
                plug(true, 100s)}},
      {.number = 33,
       .fault = "a body locks up until its power is switched, which a command does after 90 s (L#181, G#264)",
       .begins = -85s,
       .over = 5s,
       .acts = {plug(false, -85s)}},
      {.number = 34,
       .fault = "a body tells a hundred changes a second all through totality (P#29, L#154)",
       .begins = 0s,
       .over = 100s,
       .acts = {{0s,
                 [](World& world) {
                   for (int n = 0; n < 10'000; ++n)
                     world.cable->script->tells(n * 10ms, gphoto::News::Kind::other,
                                                "PTP Property d1d3 changed");
                 }}}},
  };
  for (auto& each : all) each = cabled(std::move(each));
  return all;
}

}  // namespace noonfall::scenario
