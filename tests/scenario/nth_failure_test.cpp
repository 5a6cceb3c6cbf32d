// Of a short run each call to the camera library, and each to the file system, fails once: the first, the
// second, and so on to the last. Whichever it is, the run goes to its end and its log is truthful.
#include <array>
#include <atomic>
#include <cerrno>
#include <filesystem>
#include <memory>
#include <optional>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "tests/scenario/world.h"

namespace noonfall::scenario {
namespace {

using namespace std::chrono_literals;
namespace result = gphoto::result;

/// Three crescents and some seconds of the corona, no neighbour.
std::string short_plan() {
  const auto& whole = default_plan();
  const auto rig = whole.substr(0, whole.find("  wide:"));
  return rig + R"(steps:
  - {name: crescent in, rig: long, subject: photosphere, from: C2 - 45 s, until: C2 - 35 s, every: 5 s,
     patience: 4 s, exposure: {shutter: 1/500}}
  - {name: corona, rig: long, subject: corona 0.1 to 2, from: C2 + 6 s, until: C2 + 12 s, every: back to back,
     bracket: {from: 1/1000, to: 1/4, by: 2 stops}}
)";
}

const std::array failures{
    Wrong{{result::unspecific, {}}},           Wrong{{result::unspecific, {}}, true},
    Wrong{{result::timed_out, {}}, false, 2s}, Wrong{{result::timed_out, {}}, true, 2s},
    Wrong{{result::camera_busy, {}}},          Wrong{{result::device_gone, {}}},
};

/// Hundreds of runs wait for no disk where there is a folder in memory.
struct InMemory {
  std::optional<tests::Variable> folder;
  InMemory() {
    if (std::filesystem::is_directory("/dev/shm")) folder.emplace("TMPDIR", "/dev/shm");
  }
};

/// Those of a day without any failure. Of the many that only ask for news, one in twenty.
std::vector<std::size_t> library_calls() {
  const Scenario scenario{.bodies = Bodies::cabled};
  World world{scenario, {.plan = short_plan()}};
  std::vector<std::size_t> numbers;
  world.cable->wrong = [&](std::size_t number, const std::string& call) {
    if (call != "news" || number % 20 == 0) numbers.push_back(number);
    return std::nullopt;
  };
  CHECK(untruth(world.play()) == "");
  return numbers;
}

/// The call of this number fails.
posix::FileCalls failing_at(int number, int error, const std::shared_ptr<std::atomic<int>>& calls) {
  const auto fails = [=] { return ++*calls == number; };
  const auto real = posix::system_file_calls();
  auto made = real;
  made.open = [=](int directory, const std::string& name, int flags) {
    return fails() ? journal::failed(error) : real.open(directory, name, flags);
  };
  made.write = [=](int file, const char* bytes, std::size_t size) -> ssize_t {
    return fails() ? journal::failed(error) : real.write(file, bytes, size);
  };
  made.truncate = [=](int file, off_t size) {
    return fails() ? journal::failed(error) : real.truncate(file, size);
  };
  made.reserve = [=](int file, off_t size) {
    return fails() ? journal::failed(error) : real.reserve(file, size);
  };
  made.sync_data = [=](int file) { return fails() ? journal::failed(error) : real.sync_data(file); };
  made.sync = [=](int file) { return fails() ? journal::failed(error) : real.sync(file); };
  made.rename = [=](int directory, const std::string& from, const std::string& to) {
    return fails() ? journal::failed(error) : real.rename(directory, from, to);
  };
  made.link = [=](int directory, const std::string& from, const std::string& to) {
    return fails() ? journal::failed(error) : real.link(directory, from, to);
  };
  return made;
}

}  // namespace

TEST_CASE("whichever call to the camera library fails, the run ends with a truthful log") {
  const InMemory memory;
  const auto calls = library_calls();
  CHECK(calls.size() > 200);
  const Scenario scenario{.bodies = Bodies::cabled};
  for (std::size_t n = 0; n < calls.size(); ++n) {
    const auto& failure = failures[n % failures.size()];
    CAPTURE(calls[n]);
    CAPTURE(failure.error.code);
    CAPTURE(failure.done);
    World world{scenario, {.plan = short_plan()}};
    std::string failed;
    world.cable->wrong = [&](std::size_t number, const std::string& call) {
      if (number == calls[n]) failed = call;
      return number == calls[n] ? std::optional{failure} : std::nullopt;
    };
    const auto day = world.play();
    CAPTURE(failed);
    CHECK(failed != "");
    CHECK(untruth(day) == "");
  }
}

TEST_CASE(
    "whichever call to the file system fails, the log of a run that could begin is whole and truthful") {
  const InMemory memory;
  const Scenario scenario{};
  int refused = 0;
  int number = 0;
  for (bool failed = true; failed;) {
    ++number;
    CAPTURE(number);
    const auto calls = std::make_shared<std::atomic<int>>(0);
    event_loop::tests::DaySetup setup{.plan = short_plan()};
    setup.file_calls = [&](journal::Failing&) {
      return failing_at(number, number % 2 == 0 ? ENOSPC : EIO, calls);
    };
    try {
      World world{scenario, std::move(setup)};
      CHECK(untruth(world.play()) == "");
    } catch (const std::runtime_error& error) {
      CHECK(std::string{error.what()}.find("shots.jsonl") != std::string::npos);
      ++refused;
    }
    failed = *calls >= number;
  }
  CHECK(number > 50);
  CHECK(refused > 0);
  CHECK(refused < 10);
}

TEST_CASE("whichever call of a replacement fails, a file has its old bytes or the new ones") {
  const InMemory memory;
  const tests::ScratchFolder scratch;
  bool failed = true;
  for (int number = 1; failed; ++number) {
    CAPTURE(number);
    const auto calls = std::make_shared<std::atomic<int>>(number);  // so that none fails
    const auto folder =
        journal::RunFolder::open(scratch.path("run"), failing_at(number, ENOSPC, calls)).value();
    REQUIRE(folder.write_atomically("plan.yaml", "old"));
    *calls = 0;
    const bool written = folder.write_atomically("plan.yaml", "new").has_value();
    failed = calls->exchange(number) >= number;
    const auto has = folder.read("plan.yaml").value().value();
    CHECK(written != failed);
    CHECK((has == "new" || (has == "old" && failed)));
  }
}

}  // namespace noonfall::scenario
