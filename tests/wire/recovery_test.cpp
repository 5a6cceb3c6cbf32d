// The rungs by which a body is brought back, each over the real camera library, and bodies that lie.
#include <algorithm>
#include <thread>

#include <doctest/doctest.h>

#include "daemon/gphoto/body_search.h"
#include "daemon/gphoto/library.h"
#include "daemon/gphoto/on_cables.h"
#include "daemon/gphoto/picture_folder.h"
#include "tests/wire/contract_kinds.h"

using namespace noonfall;
using namespace noonfall::tests;
using namespace std::chrono_literals;
using exposure::Exposure;
using exposure::FNumber;
using rig::Answer;

namespace {

const Exposure quick{{1, 500}, FNumber{80}, {400}};
const Exposure other{{1, 60}, FNumber{56}, {800}};

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

template <class Try>
bool comes_true(const Try& attempt) {
  const auto give_up = std::chrono::steady_clock::now() + patience;
  while (std::chrono::steady_clock::now() < give_up) {
    if (attempt()) return true;
    std::this_thread::sleep_for(100ms);
  }
  return false;
}

/// A rig's body, which is soon unplugged for good, and its spare.
class WithSpare final : public ContractBody {
 public:
  [[nodiscard]] std::vector<sim::RecordedFrame> taken() const override { return body_.taken(); }
  [[nodiscard]] std::vector<sim::RecordedFrame> taken_by_spare() const { return spare_.taken(); }
  [[nodiscard]] rig::DeviceAnswer reopen_or_spare() {
    return camera_->answer(rig::ReopenCall{order::Remedy::reopen, true}, now());
  }

 protected:
  rig::Camera& camera() override { return *camera_; }

 private:
  [[nodiscard]] std::vector<std::string> unplugged_soon() const {
    const auto from = utc_now() + 4s;
    auto options = with_faults(usb_, {{from, from + 1h, {}, sim::BodyGone{}}});
    options.insert(options.end(), {"--serial", "3012345"});
    return options;
  }

  Usb usb_;
  Body body_{usb_, "a", unplugged_soon(), "one"};
  Body spare_{usb_, "a", {"--serial", "3012346", "--bus", "2"}, "two"};
  std::unique_ptr<rig::Camera> camera_ = gphoto::camera_on_cable(
      {"3012345", contract_profile(), body::Files::raw,
       std::make_shared<gphoto::RunPictures>(usb_.folder().path("pictures")), "3012346"},
      clock_, stop_);
};

}  // namespace

TEST_CASE("a body unplugged for good gives way to its spare where that is allowed, and only there") {
  WithSpare rig;
  REQUIRE(rig.set(quick).answer == Answer::ok);
  REQUIRE(rig.release_when_free().answer == Answer::ok);
  REQUIRE(comes_true([&] { return rig.drain().answer == Answer::gone; }));
  const auto alone = rig.reopen();
  CHECK(alone.answer == Answer::gone);
  CHECK(has(alone.why, "no body has the serial number 3012345; there are: 3012346 ("));
  const auto with = rig.reopen_or_spare();
  CHECK(with.answer == Answer::ok);
  CHECK(with.spare == "3012346");
  CHECK(rig.set_when_free(other).exposure == other);
  CHECK(rig.release_when_free().answer == Answer::ok);
  CHECK(rig.taken().size() == 1);
  CHECK(rig.taken_by_spare().size() == 1);
  CHECK(rig.reopen().spare == "3012346");
}

TEST_CASE("rung 1 and 2: what was answered nothing is read up by a drain, and the next picture is taken") {
  for (const std::string family : {"generic", "a", "b"}) {
    CAPTURE(family);
    const auto lost =
        sim::Fault{utc_now() - 1s, utc_now() + 1h, 1, sim::LostFrame{sim::LostFrame::Sign::no_word}};
    const auto body = wired_body(family, {lost});
    REQUIRE(body->set(quick).answer == Answer::ok);
    const auto unanswered = body->release_when_free();
    CHECK(unanswered.answer != Answer::refused);
    CHECK(unanswered.answer != Answer::gone);
    CHECK(body->taken().size() == 1);
    CHECK(body->drain().answer == Answer::ok);
    CHECK(body->release_when_free().answer == Answer::ok);
    CHECK(body->taken().size() == 2);
  }
}

TEST_CASE(
    "rung 3 and 4: a body silent for long is gone, and is had again by reopening after its port was reset") {
  const auto body = wired_body("a", {}, "  - {fault: silence, after: 2 s, for: 24 s}\n");
  REQUIRE(body->set(quick).answer == Answer::ok);
  auto answer = body->drain();
  REQUIRE(comes_true([&] {
    answer = body->drain();
    return answer.answer == Answer::gone;
  }));
  CHECK(answer.why == "the body answered nothing 3 times running");
  CHECK(body->release().answer == Answer::gone);
  CHECK(comes_true([&] { return body->reopen(order::Remedy::reset_port).answer == Answer::ok; }));
  CHECK(body->set_when_free(other).exposure == other);
  CHECK(body->release_when_free().answer == Answer::ok);
  CHECK(body->taken().size() == 1);
}

TEST_CASE("what comes back with another serial number isn't the body") {
  const auto from = utc_now() + 1500ms;
  const auto body = wired_body("generic", {{from, from + 500ms, {}, sim::BodyGone{}}},
                               "  - {fault: other serial, serial: \"77\", after: 1500 ms}\n");
  REQUIRE(body->set(quick).answer == Answer::ok);
  REQUIRE(comes_true([&] { return body->drain().answer == Answer::gone; }));
  rig::DeviceAnswer answer;
  REQUIRE(comes_true([&] {
    answer = body->reopen();
    return has(answer.why, "77");
  }));
  CHECK(answer.answer == Answer::gone);
  CHECK(has(answer.why, "no body has the serial number 3012345; there are: 77 ("));
}

TEST_CASE("a serial number that two bodies claim is nobody's") {
  const Usb usb;
  const Body one{usb, "a", {"--serial", "3012345"}, "one"};
  const Body two{usb, "b", {"--serial", "3012345", "--bus", "2"}, "two"};
  const auto library = gphoto::camera_library();
  const auto found = gphoto::find_body(*library, "3012345");
  REQUIRE_FALSE(found);
  CHECK(found.error().why ==
        "two bodies say that their serial number is 3012345: usb:001,001 and usb:002,001");
  CHECK_FALSE(found.error().held_elsewhere);
}

TEST_CASE("a body in another program's hands is said to be, and found when it is let go") {
  const Usb usb;
  const Body one{usb, "b", {"--serial", "3012345"}};
  const auto library = gphoto::camera_library();
  auto holder = gphoto::find_body(*library, "3012345");
  REQUIRE(holder);
  const auto second = gphoto::find_body(*library, "3012345");
  REQUIRE_FALSE(second);
  CHECK(second.error().held_elsewhere);
  CHECK(has(second.error().why, "another program holds the body"));
  holder = tl::unexpected{gphoto::NotFound{}};
  CHECK(gphoto::find_body(*library, "3012345"));
}

TEST_CASE("damaged answers are failures of their calls, and the body is had again") {
  for (const std::string family : {"generic", "a", "b"}) {
    for (const std::string how : {"cut", "noise"}) {
      CAPTURE(family);
      CAPTURE(how);
      const auto body =
          wired_body(family, {}, "  - {fault: damaged answer, how: " + how + ", after: 3 s, count: 3}\n");
      REQUIRE(body->set(quick).answer == Answer::ok);
      const auto until = body->now() + 3500ms;
      while (body->now() < until) (void)body->drain();
      CHECK(comes_true([&] {
        if (body->set_when_free(other).exposure == other) return true;
        (void)body->reopen();
        return false;
      }));
      CHECK(comes_true([&] { return body->release_when_free().answer == Answer::ok; }));
    }
  }
}
