// When words are heard, by an output that keeps every sample with its instant: computed, nothing is waited
// for.
#include "daemon/voice/voice.h"

#include <condition_variable>
#include <cstdlib>
#include <mutex>

#include <unistd.h>

#include <doctest/doctest.h>

#include "daemon/posix/boot_time.h"
#include "daemon/posix/process.h"
#include "daemon/voice/renderer.h"
#include "lib/timeline/sentences.h"
#include "tests/program/run_program.h"

using namespace noonfall;
using namespace noonfall::voice;
using namespace std::chrono_literals;

namespace {

bool espeak_is_here() {
  if (::access("/usr/bin/espeak-ng", X_OK) == 0) return true;
  MESSAGE("skipped: espeak-ng isn't installed");
  return false;
}

/// An output whose own clock stands still but for the samples written to it.
class Tape final : public Sink {
 public:
  explicit Tape(BootTime starts) : starts_{starts} {}

  Result<void> start(int rate) override {
    if (broken) return fail(error_at({}, "sound", "no such output"));
    rate_ = rate;
    return {};
  }
  BootTime next_heard() override { return heard_at(samples_.size()); }
  bool write(std::span<const std::int16_t> samples) override {
    samples_.insert(samples_.end(), samples.begin(), samples.end());
    return !broken;
  }
  bool finish() override { return !broken; }
  void stop() override { stopped = true; }

  [[nodiscard]] BootTime last_sound() const {
    auto end = samples_.size();
    while (end > 0 && std::abs(samples_[end - 1]) < 300) --end;
    return heard_at(end);
  }
  bool broken = false;
  bool stopped = false;

 private:
  [[nodiscard]] BootTime heard_at(std::size_t sample) const {
    return starts_ + from_seconds(static_cast<double>(sample) / rate_);
  }
  BootTime starts_;
  int rate_ = 22050;
  std::vector<std::int16_t> samples_;
};

/// What the voice tells, from its thread.
class News {
 public:
  void take(run::Input input) {
    const std::scoped_lock lock{mutex_};
    if (const auto* voiced = std::get_if<run::Voiced>(&input)) voiced_ = *voiced;
    if (const auto* ready = std::get_if<run::Rendered>(&input)) ready_ = *ready;
    if (const auto* lost = std::get_if<run::VoiceLost>(&input)) lost_ = lost->why;
    changed_.notify_all();
  }
  template <class T>
  T wait(std::optional<T> News::*what) {
    std::unique_lock lock{mutex_};
    const bool there = changed_.wait_for(lock, 60s, [&] { return (this->*what).has_value(); });
    REQUIRE(there);
    return *std::exchange(this->*what, std::nullopt);
  }
  std::optional<run::Voiced> voiced_;
  std::optional<run::Rendered> ready_;
  std::optional<std::string> lost_;

 private:
  std::mutex mutex_;
  std::condition_variable changed_;
};

struct Bench {
  tests::ScratchFolder scratch;
  BootTime start = posix::boot_now();
  std::shared_ptr<Tape> tape = std::make_shared<Tape>(start);
  News news;
  VoiceSettings settings{scratch.path("voice"), plan::Language::english, tape, {}, {}};

  std::unique_ptr<Voice> voice() {
    return std::make_unique<Voice>(settings, [this](run::Input input) { news.take(std::move(input)); });
  }
};

std::string wav(std::vector<std::int16_t> samples) {
  std::string data;
  for (const auto sample : samples) {
    data += static_cast<char>(sample & 0xff);
    data += static_cast<char>(sample >> 8 & 0xff);
  }
  const auto size = static_cast<char>(data.size());
  // 22050 Hz, 44100 bytes a second
  return std::string{"RIFF\0\0\0\0WAVEfmt \x10\0\0\0\1\0\1\0\x22\x56\0\0\x44\xac\0\0\2\0\x10\0", 36} +
         "data" + std::string{size, '\0', '\0', '\0'} + data;
}

}  // namespace

TEST_CASE("the silence behind words is no part of them") {
  const auto sound = parse_wav(wav({0, 400, -500, 20, 0, -20}));
  REQUIRE(sound);
  CHECK(sound->rate == 22050);
  CHECK(sound->samples == std::vector<std::int16_t>{0, 400, -500});
}

TEST_CASE("what is no sound is refused, wherever it is cut") {
  const auto whole = wav({400, 400});
  for (std::size_t size = 0; size + 3 < whole.size(); ++size) CHECK_FALSE(parse_wav(whole.substr(0, size)));
  CHECK_FALSE(parse_wav(wav({0, 0})));
  auto two_channels = whole;
  two_channels[22] = 2;
  CHECK_FALSE(parse_wav(two_channels));
}

TEST_CASE("words are placed by their last sample") {
  const Sound second{1000, std::vector<std::int16_t>(1000, 500)};
  CHECK(silence_before(second, BootTime{5s}, BootTime{7s}) == 1000);
  CHECK(silence_before(second, BootTime{5s}, BootTime{6s}) == 0);
  CHECK(silence_before(second, BootTime{5s}, BootTime{5500ms}) == -500);
}

TEST_CASE("a cue ends at its instant in every language, within 100 ms as rendered") {
  if (!espeak_is_here()) return;
  using plan::Language;
  for (const auto language : {Language::english, Language::spanish, Language::french, Language::german}) {
    for (const auto what : {timeline::Sentence::filter_off, timeline::Sentence::filter_back_on,
                            timeline::Sentence::sunlight_returns}) {
      Bench bench;
      bench.settings.language = language;
      bench.settings.delay = 150ms;
      const auto words = sentence(language, what, "long");
      const auto voice = bench.voice();
      voice->prepare({words});
      const auto ready = bench.news.wait(&News::ready_);
      CHECK(ready.words == words);
      CHECK(ready.lasts > 1s);
      const auto ends = bench.start + ready.lasts + 200ms;
      voice->say({words, Utc{5s}, ends, ends + 500ms});
      const auto voiced = bench.news.wait(&News::voiced_);
      CHECK(voiced.ends == Utc{5s});
      CHECK(voiced.why_not.empty());
      const auto late = bench.tape->last_sound() + bench.settings.delay - ends;
      CAPTURE(words);
      CAPTURE(in_seconds(late));
      CHECK(std::chrono::abs(late) <= 100ms);
    }
  }
}

TEST_CASE("words that would end too late aren't begun, but for those that put a filter on") {
  if (!espeak_is_here()) return;
  Bench bench;
  const auto voice = bench.voice();
  const auto ends = bench.start + 500ms;  // of words that last longer
  voice->say({"Hands needed at long in five minutes.", Utc{1s}, ends, ends + 500ms});
  CHECK(bench.news.wait(&News::voiced_).why_not == "its time had passed");
  CHECK(bench.tape->stopped);
  CHECK(bench.tape->last_sound() == bench.start);
  voice->say({"Camera filter back on, long.", Utc{2s}, ends, BootTime::max(), true});
  CHECK(bench.news.wait(&News::voiced_).why_not.empty());
}

TEST_CASE("an output that is gone is told of, and nothing is said to have been heard") {
  if (!espeak_is_here()) return;
  Bench bench;
  bench.tape->broken = true;
  const auto voice = bench.voice();
  voice->prepare({"Halfway."});
  CHECK(bench.news.wait(&News::lost_) == "words are printed and not spoken: no such output");
  voice->say({"Halfway.", Utc{1s}, bench.start + 2s, BootTime::max()});
  CHECK(bench.news.wait(&News::voiced_).why_not == "no such output");
}

TEST_CASE("a program says the words, whatever is in them, and its exit code tells whether it did") {
  Bench bench;
  bench.settings.sink.reset();
  const auto said = bench.scratch.path("said");
  const auto program = bench.scratch.file("say", "#!/bin/sh\nprintf '%s|' \"$@\" > '" + said + "'\n");
  std::filesystem::permissions(program, std::filesystem::perms::owner_all);
  bench.settings.command = {program, "-w"};
  const auto voice = bench.voice();
  voice->prepare({"Halfway."});
  CHECK(bench.news.wait(&News::ready_).words == "Halfway.");
  voice->say({"$(touch x); 'Halfway'", Utc{1s}, bench.start + 2s, BootTime::max()});
  CHECK(bench.news.wait(&News::voiced_).why_not.empty());
  CHECK(tests::text_of_file(said) == "-w|$(touch x); 'Halfway'|");
  bench.settings.command = {"/bin/false"};
  const auto mute = bench.voice();
  mute->say({"Halfway.", Utc{1s}, bench.start + 2s, BootTime::max()});
  CHECK(bench.news.wait(&News::voiced_).why_not == "the program ended with exit code 1");
}

TEST_CASE("a command is a whole path and words, nothing more") {
  CHECK(posix::parse_argv("/usr/bin/spd-say -w  -e") ==
        std::vector<std::string>{"/usr/bin/spd-say", "-w", "-e"});
  CHECK(posix::parse_argv("spd-say").empty());
  CHECK(posix::parse_argv("").empty());
}
