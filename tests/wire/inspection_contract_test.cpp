// The contract of lib/body/inspection.h: what a body at hand tells besides shooting, whatever it is made of.
#include <algorithm>
#include <functional>
#include <memory>

#include <doctest/doctest.h>

#include "daemon/cameras/simulated_source.h"
#include "daemon/gphoto/on_cables.h"
#include "tests/wire/bodies.h"
#include "tests/wire/contract.h"

using namespace noonfall;
using namespace noonfall::tests;
using namespace std::chrono_literals;
using exposure::Exposure;
using exposure::FNumber;
using rig::Answer;

namespace {

const Exposure quick{{1, 500}, FNumber{80}, {400}};

/// A body within reach, opened.
class AtHand {
 public:
  virtual ~AtHand() = default;
  [[nodiscard]] cameras::BodyAtHand& body() {
    if (!body_) body_ = std::move(source_->open(serial_).value());
    return *body_;
  }
  [[nodiscard]] cameras::BodySource& source() { return *source_; }
  [[nodiscard]] const std::string& serial() const { return serial_; }

  rig::DeviceAnswer ask(const rig::DeviceCall& call) {
    const auto give_up = body().now() + 20s;
    for (;;) {
      auto answer = body().camera().answer(call, body().now());
      body().wait_until(answer.at);
      if (answer.answer != Answer::busy || body().now() > give_up) return answer;
      body().wait_until(body().now() + 5ms);
    }
  }
  rig::DeviceAnswer release(int frames = 1) {
    rig::ReleaseCall call{{}, body().now() + 1min};
    for (int n = 0; n < frames; ++n) call.frames.push_back({.frame = ++frames_});
    return ask(call);
  }

 protected:
  /// Before what it stands on goes.
  void close() { body_.reset(); }

  std::unique_ptr<cameras::BodySource> source_;
  std::string serial_;

 private:
  std::unique_ptr<cameras::BodyAtHand> body_;
  int frames_ = 0;
};

class InProcess final : public AtHand {
 public:
  InProcess() {
    source_ = cameras::simulated_source({contract_profile(), body::Files::raw, 1, 1, {}});
    serial_ = "simulated";
  }
};

class Wired final : public AtHand {
 public:
  explicit Wired(const std::string& family) : body_{usb_, family, {"--serial", "3012345"}} {
    source_ = gphoto::bodies_on_cables();
    serial_ = "3012345";
  }
  ~Wired() override { close(); }

 private:
  Usb usb_;
  Body body_;
};

void each_kind(const std::function<void(AtHand&)>& check) {
  InProcess simulated;
  check(simulated);
  for (const std::string family : {"generic", "a", "b"}) {
    CAPTURE(family);
    Wired wired{family};
    check(wired);
  }
}

template <class T>
bool rises(const std::vector<T>& values, const auto& exact) {
  return std::ranges::adjacent_find(values, [&](const T& one, const T& next) {
           return std::invoke(exact, one) >= std::invoke(exact, next);
         }) == values.end();
}

}  // namespace

TEST_CASE(
    "a body that is found tells the same of itself when it is opened: its number, and choices that rise") {
  each_kind([](AtHand& hand) {
    const auto found = hand.source().find();
    REQUIRE(found);
    REQUIRE(found->bodies.size() == 1);
    const auto told = hand.body().inspection().description();
    REQUIRE(told);
    CHECK(told->serial == hand.serial());
    CHECK(told->family == found->bodies.front().family);
    CHECK(told->choices == found->bodies.front().choices);
    CHECK(told->choices.shutters.size() > 10);
    CHECK(told->choices.isos.size() > 5);
    CHECK(rises(told->choices.shutters, exposure::nominal_seconds));
    CHECK(rises(told->choices.apertures, &exposure::FNumber::tenths));
    CHECK(rises(told->choices.isos, &exposure::Iso::value));
    CHECK(told->saved_to.value_or(body::SavedTo::card) == body::SavedTo::card);
  });
}

TEST_CASE("a sheet is read anew: the card fills with the frames, and each file named has its size") {
  each_kind([](AtHand& hand) {
    REQUIRE(hand.ask(rig::SettingsCall{quick}).answer == Answer::ok);
    const auto before = hand.body().inspection().description();
    std::vector<std::string> files;
    for (int n = 0; n < 3; ++n) {
      const auto answer = hand.release();
      REQUIRE(answer.frames.size() == 1);
      std::ranges::copy(answer.frames.front().files, std::back_inserter(files));
      hand.body().wait_until(hand.body().now() + 1s);
    }
    const auto after = hand.body().inspection().description();
    REQUIRE((before && before->card && after && after->card));
    CHECK(after->card->free.value < before->card->free.value);
    CHECK(files.size() >= 2);
    for (const auto& file : files) {
      const auto size = hand.body().inspection().file_size(file);
      REQUIRE(size);
      CHECK(size->value == doctest::Approx(contract_profile().files.raw.value));
    }
  });
}

TEST_CASE("what the body calls an exposure is told, and what it has nothing near is told so") {
  each_kind([](AtHand& hand) {
    auto& inspection = hand.body().inspection();
    REQUIRE(inspection.description());
    const auto chosen = inspection.choices_for({{1, 60}, FNumber{56}, {800}});
    REQUIRE(chosen.size() == 3);
    CHECK(chosen[0].asked == "1/60");
    CHECK(chosen[1].asked == "f/5.6");
    CHECK(chosen[2].asked == "ISO 800");
    CHECK(std::ranges::none_of(chosen, [](const auto& each) { return each.choice.empty(); }));
    CHECK(inspection.choices_for({{1, 60}, std::nullopt, {800}}).size() == 2);
    const auto beyond = inspection.choices_for({{1, 32000}, FNumber{56}, {50}});
    CHECK(beyond.front().choice.empty());
    CHECK(beyond.back().choice.empty());
    REQUIRE(hand.ask(rig::SettingsCall{quick}).exposure == quick);
    (void)inspection.choices_for({{1, 60}, FNumber{56}, {800}});  // which sends nothing
    CHECK(hand.ask(rig::SettingsCall{quick}).exposure == quick);
  });
}

TEST_CASE("the pictures of a burst are announced one by one after its release, or nothing is known of that") {
  each_kind([](AtHand& hand) {
    REQUIRE(hand.ask(rig::SettingsCall{quick, body::Drive::continuous}).drive == body::Drive::continuous);
    CHECK(hand.body().inspection().announcements().empty());
    const auto answer = hand.release(5);
    REQUIRE(answer.answer == Answer::ok);
    const auto announced = hand.body().inspection().announcements();
    CHECK((announced.empty() || announced.size() == answer.frames.size()));
    CHECK(std::ranges::is_sorted(announced));
    if (!announced.empty()) CHECK(announced.front() > answer.released);
  });
}
