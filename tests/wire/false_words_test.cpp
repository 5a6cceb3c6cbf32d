// Bodies whose every dataset is well-formed and false: the rig goes on, or says clearly why it can't.
#include <doctest/doctest.h>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "daemon/gphoto/on_cables.h"
#include "tests/wire/contract_kinds.h"

using namespace noonfall;
using namespace noonfall::tests;
using exposure::Exposure;
using exposure::FNumber;
using rig::Answer;

namespace {

const Exposure quick{{1, 500}, FNumber{80}, {400}};

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

std::string lie(const std::string& about) {
  return "  - {fault: false words, about: " + about + "}\n";
}

/// An honest body with a liar before it on the same bus.
class Beside final : public ContractBody {
 public:
  explicit Beside(const std::string& family, const std::string& lies)
      : liar_{usb_, family, with_line_faults(usb_, lies), "liar"},
        honest_{usb_, "a", {"--serial", "3012345", "--bus", "2"}, "one"} {}

  [[nodiscard]] std::vector<sim::RecordedFrame> taken() const override { return honest_.taken(); }

 protected:
  rig::Camera& camera() override { return *camera_; }

 private:
  Usb usb_;
  Body liar_;
  Body honest_;
  std::unique_ptr<rig::Camera> camera_ =
      gphoto::camera_on_cable({"3012345", contract_profile()}, clock_, stop_);
};

}  // namespace

TEST_CASE(
    "lists of choices that can't be true are told apart from a good exposure, and what can be taken is") {
  for (const std::string family : {"generic", "a", "b"}) {
    for (const std::string about : {"no choices", "choices of zeros", "choices of ones", "current value"}) {
      CAPTURE(family);
      CAPTURE(about);
      const auto body = wired_body(family, {}, lie(about));
      const auto set = body->set_when_free(quick);
      CAPTURE(set.why);
      CHECK((set.answer == Answer::refused || set.exposure != quick));
      const auto answer = body->release_when_free();
      CAPTURE(answer.why);
      CHECK((answer.answer == Answer::ok || has(answer.why, "(PTP 0x201C)")));
      CHECK(body->taken().size() == (answer.answer == Answer::ok ? 1 : 0));
      CHECK_FALSE(body->look_after().gone);
    }
  }
}

TEST_CASE("a battery at 250 % and a card with more room than it has keep nobody from shooting") {
  for (const std::string family : {"generic", "a", "b"}) {
    for (const std::string about : {"battery", "room"}) {
      CAPTURE(family);
      CAPTURE(about);
      const auto body = wired_body(family, {}, lie(about));
      CHECK(body->look_after().alarms.empty());
      CHECK(body->set_when_free(quick).exposure == quick);
      CHECK(body->release_when_free().answer == Answer::ok);
      CHECK(body->drain().answer == Answer::ok);
      CHECK(body->taken().size() == 1);
    }
  }
}

TEST_CASE("an announced picture that doesn't exist is no picture of a frame") {
  for (const std::string family : {"generic", "a", "b"}) {
    CAPTURE(family);
    const auto body = wired_body(family, {}, lie("picture"));
    CHECK(body->look_after().alarms.empty());
    REQUIRE(body->set_when_free(quick).answer == Answer::ok);
    for (int n = 0; n < 3; ++n) {
      const auto answer = body->release_when_free();
      CAPTURE(answer.why);
      REQUIRE(answer.answer == Answer::ok);
      REQUIRE(body->taken().size() == static_cast<std::size_t>(n) + 1);
      const auto& files = answer.frames.front().files;
      CAPTURE(fmt::format("{} of {}", fmt::join(files, ", "), fmt::join(body->taken().back().files, ", ")));
      CHECK((files.empty() || files == body->taken().back().files));
    }
    CHECK(body->drain().answer == Answer::ok);
    CHECK_FALSE(body->look_after().gone);
  }
}

TEST_CASE("a body without a serial number isn't taken for one that has it") {
  for (const std::string family : {"generic", "a", "b"}) {
    CAPTURE(family);
    const auto body = wired_body(family, {}, lie("serial number"));
    const auto answer = body->set(quick);
    CHECK(answer.answer == Answer::gone);
    CHECK(has(answer.why, "no body has the serial number 3012345; there are: one without a serial number ("));
  }
}

TEST_CASE("a liar on the bus harms nobody else") {
  for (const std::string family : {"generic", "b"}) {
    CAPTURE(family);
    Beside body{family, lie("no choices") + lie("serial number") + lie("battery") + lie("room")};
    CHECK(body.set_when_free(quick).exposure == quick);
    CHECK(body.release_when_free().answer == Answer::ok);
    REQUIRE(body.taken().size() == 1);
    CHECK(body.taken().front().exposure == quick);
  }
}
