// What goes wrong with the computer and the people around it: clock, disk, sound, page, operator, power.
#include <cerrno>
#include <csignal>
#include <filesystem>

#include "tests/scenario/world.h"

namespace noonfall::scenario {
namespace {

using namespace std::chrono_literals;

Act says(Duration at, std::string words) {
  return {at, [words = std::move(words)](World& world) { (void)world.day->answer(words); }};
}

}  // namespace

std::vector<Scenario> of_the_host() {
  return {
      {.number = 41,
       .topic = "clock",
       .fault = "the computer sleeps for ten seconds of totality",
       .begins = 20s,
       .over = 30s,
       .acts = {{20s, [](World& world) { world.day->machine.sleep(10s); }}},
       .spares_wide = false},
      {.number = 42,
       .topic = "disk",
       .fault = "the disk is full for half a minute of totality",
       .begins = 20s,
       .over = 50s,
       .acts = {{20s, [](World& world) { world.day->failing.room = 0; }},
                {50s, [](World& world) { world.day->failing.room = 1 << 30; }}}},
      {.number = 43,
       .topic = "disk",
       .fault = "the disk fails every write from second contact to the end of totality",
       .begins = 0s,
       .over = 120s,
       .acts = {{0s, [](World& world) { world.day->failing.write = EIO; }},
                {120s, [](World& world) { world.day->failing.write = 0; }}}},
      {.number = 44,
       .topic = "disk",
       .fault = "somebody deletes the run's folder in totality",
       .begins = 20s,
       .over = 20s,
       .acts = {{20s,
                 [](World& world) {
                   std::filesystem::rename(world.day->scratch.path("run"), world.day->scratch.path("away"));
                 }}}},
      {.number = 45,
       .topic = "sound",
       .fault = "the loudspeaker's cable is pulled",
       .begins = 20s,
       .over = 20s,
       .acts = {{20s,
                 [](World& world) {
                   world.day->live->voice_news(run::VoiceLost{"the sound output is gone"});
                 }}}},
      {.number = 46,
       .topic = "page",
       .fault = "a page sends two thousand words that are no commands",
       .begins = 20s,
       .over = 20s,
       .acts = {{20s,
                 [](World& world) {
                   for (int n = 0; n < 2000; ++n) (void)world.day->answer("shoot now " + std::to_string(n));
                 }}}},
      {.number = 47,
       .topic = "operator",
       .fault = "a rig is held for 30 s of totality",
       .begins = 20s,
       .over = 50s,
       .acts = {says(20s, "hold long"), says(50s, "resume long")}},
      {.number = 48,
       .topic = "operator",
       .fault = "a step is skipped by mistake",
       .begins = 20s,
       .over = 20s,
       .acts = {says(20s, "skip corona")}},
      {.number = 49,
       .topic = "operator",
       .fault = "the terminal is closed in totality",
       .begins = 20s,
       .over = 20s,
       .acts = {{20s, [](World& world) { world.day->live->on_signal(SIGHUP); }}}},
  };
}

}  // namespace noonfall::scenario
