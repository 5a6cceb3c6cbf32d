// Times longer than any on a body's list: how long the shutter was really open is the body's own record.
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <thread>

#include <doctest/doctest.h>

#include "daemon/gphoto/library.h"
#include "daemon/gphoto/on_cables.h"
#include "lib/body/profile_text.h"
#include "lib/exposure/scale.h"
#include "tests/wire/contract.h"

using namespace noonfall;
using namespace noonfall::tests;
using namespace std::chrono_literals;
using exposure::Exposure;
using exposure::FNumber;
using rig::Answer;

namespace {

const Exposure quick{{1, 500}, FNumber{80}, {400}};
const Exposure two_seconds{{2, 1}, FNumber{80}, {400}};
const Exposure five_seconds{{5, 1}, FNumber{80}, {400}};
const Exposure a_minute{{60, 1}, FNumber{80}, {400}};

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

bool has(const std::vector<std::string>& texts, const std::string& part) {
  return std::ranges::any_of(texts, [&](const auto& text) { return has(text, part); });
}

/// Its list ends at half a second.
body::Profile short_profile() {
  auto profile = contract_profile();
  std::erase_if(profile.choices.shutters, [](exposure::Shutter each) {
    return exposure::shorter({1, 2}, each);
  });
  return profile;
}

class AtBulb final : public ContractBody {
 public:
  explicit AtBulb(const std::string& family, const std::string& line_faults = {},
                  const std::vector<sim::Fault>& faults = {})
      : body_{usb_, family, options(line_faults, faults), "one",
              usb_.folder().file("short.yaml", body::to_text(short_profile()))} {}

  [[nodiscard]] std::vector<sim::RecordedFrame> taken() const override { return body_.taken(); }
  [[nodiscard]] rig::DeviceAnswer release_by(Utc stop_by) {
    return camera_->answer(rig::ReleaseCall{{order::FrameId{}}, stop_by}, now());
  }
  void stop_soon() {
    stopper_ = std::jthread{[this] {
      std::this_thread::sleep_for(1500ms);
      stop_.request();
    }};
  }

 protected:
  rig::Camera& camera() override { return *camera_; }

 private:
  [[nodiscard]] std::vector<std::string> options(const std::string& line_faults,
                                                 const std::vector<sim::Fault>& faults) const {
    std::vector<std::string> all{"--serial", "3012345"};
    const auto add = [&](const std::vector<std::string>& more) {
      all.insert(all.end(), more.begin(), more.end());
    };
    if (!line_faults.empty()) add(with_line_faults(usb_, line_faults));
    if (!faults.empty()) add(with_faults(usb_, faults));
    return all;
  }

  Usb usb_;
  Body body_;
  std::unique_ptr<rig::Camera> camera_ = gphoto::camera_on_cable({"3012345", short_profile()}, clock_, stop_);
  std::jthread stopper_;
};

Duration open_time(const sim::RecordedFrame& frame) {
  return frame.closed - frame.opened;
}

/// As good as the wanted time by the same rule as a choice of a list: half a third-stop click.
bool is_as_long(const sim::RecordedFrame& frame, const Exposure& wanted) {
  const Seconds open{in_seconds(open_time(frame))};
  return exposure::nearest(open, std::vector{wanted.shutter})->matches();
}

/// Opens the shutter at bulb, and tells so by the descriptor.
void open_for_good(int told) {
  const auto library = gphoto::camera_library();
  const auto found = gphoto::find_body(*library, "3012345");
  if (!found) return;
  auto& session = *found->session;
  const auto path = gphoto::family_of(session);
  const auto shutter = session.first_of(gphoto::shutter_names);
  const auto label = shutter ? gphoto::bulb_of(shutter->choices) : std::string{};
  if (label.empty() || !session.set(shutter->name, label)) return;
  while (!path->open_bulb(session)) std::this_thread::sleep_for(20ms);
  if (::write(told, "o", 1) != 1) return;
  for (;;) ::pause();
}

/// A process that dies while it has the shutter open.
void leave_open() {
  int ends[2];
  REQUIRE(::pipe(ends) == 0);
  const auto child = ::fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    open_for_good(ends[1]);
    ::_exit(1);
  }
  ::close(ends[1]);
  char word = 0;
  CHECK(::read(ends[0], &word, 1) == 1);
  ::kill(child, SIGKILL);
  ::waitpid(child, nullptr, 0);
  ::close(ends[0]);
}

}  // namespace

TEST_CASE("a time too long for the list is taken by bulb, and times of the list as ever before and after") {
  for (const std::string family : {"a", "b"}) {
    CAPTURE(family);
    AtBulb body{family};
    REQUIRE(body.set(quick).answer == Answer::ok);
    CHECK(body.release_when_free().answer == Answer::ok);
    const auto set = body.set_when_free(two_seconds);
    CHECK(set.answer == Answer::ok);
    CHECK(set.exposure == two_seconds);
    const auto answer = body.release_when_free();
    REQUIRE(answer.answer == Answer::ok);
    REQUIRE(answer.frames.size() == 1);
    CHECK(answer.frames.front().confirmed);
    CHECK(body.set_when_free(quick).exposure == quick);
    CHECK(body.release_when_free().answer == Answer::ok);
    const auto taken = body.taken();
    REQUIRE(taken.size() == 3);
    CHECK(taken[0].exposure == quick);
    CHECK(is_as_long(taken[1], two_seconds));
    CHECK(answer.frames.front().files == taken[1].files);
    CHECK(taken[2].exposure == quick);
  }
}

TEST_CASE("a time within a third of a stop of the longest choice isn't worth bulb") {
  AtBulb body{"b"};
  const auto answer = body.set({{3, 5}, FNumber{80}, {400}});
  CHECK(answer.answer == Answer::ok);
  CHECK(answer.exposure.value().shutter == exposure::Shutter{1, 2});
}

TEST_CASE("in continuous drive, bulb is one frame a release") {
  AtBulb body{"b"};
  REQUIRE(body.set(two_seconds, body::Drive::continuous).answer == Answer::ok);
  CHECK(body.release_when_free(3).frames.size() == 1);
  REQUIRE(body.taken().size() == 1);
  CHECK(is_as_long(body.taken().front(), two_seconds));
}

TEST_CASE("a worker told to stop closes the shutter first") {
  for (const std::string family : {"a", "b"}) {
    CAPTURE(family);
    AtBulb body{family};
    REQUIRE(body.set(a_minute).answer == Answer::ok);
    body.stop_soon();
    const auto answer = body.release_when_free();
    REQUIRE(answer.frames.size() == 1);
    REQUIRE(body.taken().size() == 1);
    CHECK(open_time(body.taken().front()) < 30s);
    CHECK(answer.frames.front().closed - answer.frames.front().opened < 30s);
  }
}

TEST_CASE("however late it opened, the shutter closes as if it had opened at its last instant") {
  for (const std::string family : {"a", "b"}) {
    CAPTURE(family);
    AtBulb body{family};
    REQUIRE(body.set(a_minute).answer == Answer::ok);
    rig::DeviceAnswer answer;
    do answer = body.release_by(body.now() - 58s);
    while (answer.answer == Answer::busy);
    CHECK(answer.answer == Answer::ok);
    REQUIRE(body.taken().size() == 1);
    CHECK(open_time(body.taken().front()) < 30s);
    CHECK(has(body.look_after().notes, "the shutter was open at bulb for "));
  }
}

TEST_CASE("a shutter that a killed worker left open is closed by the next") {
  for (const std::string family : {"a", "b"}) {
    CAPTURE(family);
    AtBulb body{family};
    leave_open();
    CHECK(body.taken().empty());
    CHECK(body.drain().answer == Answer::ok);
    CHECK(body.taken().size() == 1);
    CHECK(body.set_when_free(quick).exposure == quick);
    CHECK(body.release_when_free().answer == Answer::ok);
    CHECK(body.taken().size() == 2);
  }
}

TEST_CASE("a body silent when its shutter should close is told until it says that it has") {
  AtBulb body{"a", "  - {fault: silence, after: 4 s, for: 6 s}\n"};
  REQUIRE(body.set(five_seconds).answer == Answer::ok);
  CHECK(body.release_when_free().answer == Answer::ok);
  REQUIRE(body.taken().size() == 1);
  CHECK(body.set_when_free(quick).exposure == quick);
  CHECK(body.release_when_free().answer == Answer::ok);
}

TEST_CASE("a body gone with its shutter open is said to be, and had again") {
  const auto from = utc_now() + 4s;
  AtBulb body{"b", {}, {{from, from + 500ms, {}, sim::BodyGone{}}}};
  REQUIRE(body.set(five_seconds).answer == Answer::ok);
  const auto answer = body.release_when_free();
  CHECK(answer.answer == Answer::gone);
  CHECK(has(answer.why, "the shutter may be open: "));
  CHECK(body.reopen().answer == Answer::ok);
  CHECK(body.set_when_free(quick).exposure == quick);
  CHECK(body.release_when_free().answer == Answer::ok);
}
