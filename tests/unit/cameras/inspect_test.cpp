// What a camera process does with a body, simulated: every word it says, in order.
#include <doctest/doctest.h>

#include "daemon/cameras/inspect.h"
#include "daemon/cameras/simulated_source.h"
#include "lib/body/profile_text.h"
#include "lib/body/shipped.h"
#include "sim/body/fault.h"

using namespace noonfall;
using namespace noonfall::cameras;
using namespace std::chrono_literals;

namespace {

struct Heard {
  std::vector<Said> words;
  int stop_after = -1;

  Line line() {
    return {[this](const Said& said) { words.push_back(said); },
            [this] { return stop_after >= 0 && static_cast<int>(words.size()) > stop_after; }};
  }
  template <class T>
  [[nodiscard]] std::vector<T> all() const {
    std::vector<T> list;
    for (const auto& said : words) {
      if (const auto* one = std::get_if<T>(&said)) list.push_back(*one);
    }
    return list;
  }
};

std::unique_ptr<BodySource> source(std::vector<sim::Fault> faults = {}) {
  return simulated_source({*body::find_shipped("mirrorless-20"), body::Files::raw_and_jpeg, 1, 1, faults, 0});
}

rig::SettingsCall settings(exposure::Shutter shutter) {
  return {{shutter, exposure::FNumber{80}, {400}}, body::Drive::single};
}

}  // namespace

TEST_CASE("measuring says the sheet and the extent before the first frame, and a profile last") {
  Heard heard;
  CHECK(measure_body(*source(), "simulated", "own", 0s, heard.line()));
  REQUIRE(heard.words.size() > 4);
  CHECK(std::holds_alternative<body::Description>(heard.words[0]));
  CHECK(std::holds_alternative<measure::Extent>(heard.words[1]));
  REQUIRE(std::holds_alternative<MeasuredProfile>(heard.words.back()));
  const auto& measured = std::get<MeasuredProfile>(heard.words.back());
  const auto profile = body::parse_profile(measured.yaml, "own.yaml");
  REQUIRE(profile.has_value());
  CHECK(profile->name == "own");
  // Both kinds of files were left, so both have their measured size.
  CHECK(profile->files == body::find_shipped("mirrorless-20")->files);
  int before = 0;
  for (const auto& progress : heard.all<InspectionProgress>()) {
    CHECK(progress.done >= before);
    CHECK(progress.done <= progress.of);
    before = progress.done;
  }
}

TEST_CASE("a series that is told to stop stops before its next frame, and makes no profile") {
  Heard heard;
  heard.stop_after = 5;
  CHECK_FALSE(measure_body(*source(), "simulated", "own", 0s, heard.line()));
  CHECK(heard.all<MeasuredProfile>().empty());
  CHECK(heard.words.back() == Said{InspectionFailure{"stopped", "stopped before the end", {}}});
}

TEST_CASE("a body that isn't there is said, with what is") {
  Heard heard;
  CHECK_FALSE(measure_body(*source(), "3012345", "own", 0s, heard.line()));
  CHECK(heard.words == std::vector<Said>{InspectionFailure{
                           "no-body", "no body with serial number 3012345 is there", "\"simulated\""}});
}

TEST_CASE("each setting is tried, and what can't be made is read back as it is") {
  Heard heard;
  const std::vector<rig::SettingsCall> wanted{settings({1, 500}), settings({1, 64'000}), settings({1, 60})};
  CHECK(try_settings(*source(), "simulated", wanted, heard.line()));
  const auto trials = heard.all<SettingsTrial>();
  REQUIRE(trials.size() == 3);
  CHECK(trials[0].as_asked());
  CHECK(trials[0].choices ==
        std::vector<body::Chosen>{{"1/500", "1/500"}, {"f/8", "f/8"}, {"ISO 400", "ISO 400"}});
  CHECK_FALSE(trials[1].as_asked());
  CHECK(trials[1].why == "the body has no 1/64000");
  CHECK(trials[1].shown == settings({1, 500}));
  CHECK(trials[1].choices.front() == body::Chosen{"1/64000", ""});
  CHECK(trials[2].as_asked());
}

TEST_CASE("a body that goes away ends the trials with its reason") {
  const sim::Fault gone{Utc{}, Utc::max(), std::nullopt, sim::BodyGone{}};
  Heard heard;
  CHECK_FALSE(
      try_settings(*source({gone}), "simulated", {settings({1, 500}), settings({1, 60})}, heard.line()));
  CHECK(heard.all<SettingsTrial>().size() == 1);
  CHECK(heard.words.back() == Said{InspectionFailure{"gone", "the body is off the line", {}}});
}
