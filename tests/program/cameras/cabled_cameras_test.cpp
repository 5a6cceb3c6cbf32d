// noonfall cameras on simulated bodies at the end of a cable: libgphoto2 and its drivers are the real ones.
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <string>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "lib/body/model.h"
#include "lib/body/profile_text.h"
#include "lib/body/shipped.h"
#include "tests/source_folder.h"
#include "tests/wire/bodies.h"

using namespace noonfall;
using namespace noonfall::tests;
using namespace std::chrono_literals;
using nlohmann::json;

namespace {

Ran cameras(const std::string& arguments) {
  return run_program(NOONFALL_PROGRAM, "cameras " + arguments);
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

std::vector<std::string> numbered(const std::string& serial, const std::string& bus) {
  return {"--serial", serial, "--bus", bus};
}

json only_body(const std::string& out) {
  const auto all = json::parse(out);
  REQUIRE(all.at("bodies").size() == 1);
  return all["bodies"][0];
}

std::vector<std::string> codes_of(const json& body) {
  std::vector<std::string> codes;
  for (const auto& finding : body.at("obstacles")) codes.push_back(finding.at("code"));
  return codes;
}

/// A first line of the real plan whose body is on a cable.
std::string cabled_plan(const std::string& serial) {
  auto plan = text_of_file(std::string{NOONFALL_SOURCE} + "/plans/first-light.yaml");
  const std::string simulated = "{simulate: mirrorless-20}";
  plan.replace(plan.find(simulated), simulated.size(),
               "{serial: \"" + serial + "\", profile: mirrorless-20}");
  return plan;
}

void check_near(Duration found, Duration truth, double share, Duration slack) {
  INFO(found.count(), " us, truly ", truth.count(), " us");
  CHECK(std::chrono::abs(found - truth) <= from_seconds(in_seconds(truth) * share) + slack);
}

}  // namespace

TEST_CASE("no body on any cable is the environment's failure, in words") {
  const Usb usb;
  const auto ran = cameras("");
  CHECK(ran.exit == 3);
  CHECK(ran.out.empty());
  CHECK(ran.err ==
        "error: no camera is on a cable\n"
        "  wanted: a body that is switched on, its cable plugged in at both ends (docs/cameras.md)\n");
}

TEST_CASE("bodies of three families are listed by serial number with what they tell") {
  const Usb usb;
  const Body a{usb, "a", numbered("3012341", "1"), "first"};
  const Body b{usb, "b", numbered("3012342", "2"), "second"};
  const Body generic{usb, "generic", numbered("3012343", "3"), "third"};
  const auto ran = cameras("--json");
  INFO(ran.out, ran.err);
  REQUIRE(ran.exit == 0);
  const auto all = json::parse(ran.out);
  REQUIRE(all.at("bodies").size() == 3);
  const std::string serials[] = {"3012341", "3012342", "3012343"};
  const std::string families[] = {"a", "b", "generic"};
  for (std::size_t n = 0; n < 3; ++n) {
    const auto& body = all["bodies"][n];
    CHECK(body.at("serial") == serials[n]);
    CHECK(body.at("family") == families[n]);
    CHECK(body.at("battery_percent") == 100);
    CHECK(body.at("card").at("present") == true);
    // mirrorless-20 says 128 GB; the body tells kibibytes.
    CHECK(body.at("card").at("capacity_mb").get<double>() == doctest::Approx(128'000).epsilon(0.001));
    CHECK(body.at("mode").at("value") == "manual");
    CHECK(body.at("focus").at("value") == "by hand");
    CHECK(body.at("drive").at("value") == "single");
    CHECK(body.at("burst") == true);
    CHECK(body.at("tells_opening") == false);
    CHECK(body.at("obstacles").empty());
  }
}

TEST_CASE("what would stop a run is said: dial, autofocus, battery, card") {
  const Usb usb;
  const Body body{usb, "b",
                  with_line_faults(usb,
                                   "  - {fault: dial off M}\n  - {fault: focus fails}\n"
                                   "  - {fault: low battery, charge: 5 %}\n  - {fault: card full}\n")};
  const auto ran = cameras("--json");
  INFO(ran.out, ran.err);
  CHECK(ran.exit == 1);
  const auto codes = codes_of(only_body(ran.out));
  for (const auto* code : {"mode-dial", "autofocus", "low-battery", "card-full"}) {
    INFO(code);
    CHECK(std::count(codes.begin(), codes.end(), code) == 1);
  }
}

TEST_CASE("a body that another program holds can't be opened, and that is said") {
  const Usb usb;
  const Body body{usb, "generic", numbered("3012341", "1")};
  const auto said = usb.folder().path("said");
  const Ran waiting = [&] {
    // A second noonfall, which has the body since before its announcement and to its end.
    const auto pid = ::fork();
    if (pid == 0) {
      const auto command =
          std::string{"exec '"} + NOONFALL_PROGRAM + "' cameras --measure 3012341 2>'" + said + "'";
      ::execl("/bin/sh", "sh", "-c", command.c_str(), nullptr);
      ::_exit(1);
    }
    const auto give_up = std::chrono::steady_clock::now() + patience;
    while (!has(text_of_file(said), "LEAVE THE LENS CAP") && std::chrono::steady_clock::now() < give_up)
      ::usleep(20'000);
    auto ran = cameras("");
    ::kill(pid, SIGTERM);
    ::waitpid(pid, nullptr, 0);
    return ran;
  }();
  CHECK(waiting.exit == 3);
  CHECK(has(waiting.err, "at usb:001,001 can't be opened: another program holds the body"));
  CHECK(has(waiting.err, "wanted: the program that holds it, ended"));
}

TEST_CASE("every setting of a plan is made on a cabled body of each family, in its own words") {
  for (const std::string family : {"a", "b", "generic"}) {
    INFO(family);
    const Usb usb;
    const Body body{usb, family, numbered("3012341", "1")};
    const auto ran = cameras("--json --try " + usb.folder().file("plan.yaml", cabled_plan("3012341")));
    INFO(ran.out, ran.err);
    CHECK(ran.exit == 0);
    const auto all = json::parse(ran.out);
    REQUIRE(all.at("rigs").size() == 1);
    const auto& settings = all["rigs"][0].at("settings");
    CHECK(settings.size() > 3);
    for (const auto& setting : settings) {
      INFO(setting.dump());
      CHECK(setting.at("as_asked") == true);
    }
    // As libgphoto2's driver names them: the standard's tenths of milliseconds in words of its own.
    const auto& shutter = settings[0].at("chosen")[0];
    const auto expected = family == "generic" ? "0.0004s" : shutter.at("asked").get<std::string>();
    CHECK(shutter.at("choice") == expected);
    CHECK(body.taken().empty());
  }
}

TEST_CASE("a body whose dial is off M can't be set, and trying says so with exit 1") {
  const Usb usb;
  const Body body{usb, "b", with_line_faults(usb, "  - {fault: dial off M}\n")};
  const auto listed = only_body(cameras("--json").out);
  const auto serial = listed.at("serial").get<std::string>();
  const auto ran = cameras("--try " + usb.folder().file("plan.yaml", cabled_plan(serial)));
  INFO(ran.out, ran.err);
  CHECK(ran.exit == 1);
  CHECK(has(ran.out, "STOPS A RUN: the exposure mode is"));
}

TEST_CASE("a plan's serial number that no body has is said with those that are there") {
  const Usb usb;
  const Body body{usb, "a", numbered("3012341", "1")};
  const auto ran = cameras("--try " + usb.folder().file("plan.yaml", cabled_plan("999")));
  CHECK(ran.exit == 3);
  CHECK(has(ran.err, "999"));
  CHECK(has(ran.err, "3012341"));
}

TEST_CASE("Ctrl-C ends a measurement in good order: no profile, and the body is free again") {
  const Usb usb;
  const Body body{usb, "b", numbered("3012341", "1")};
  const auto out = usb.folder().path("own.yaml");
  const auto err = usb.folder().path("err");
  const auto pid = ::fork();
  if (pid == 0) {
    ::setpgid(0, 0);
    (void)!std::freopen(err.c_str(), "w", stderr);
    ::execl(NOONFALL_PROGRAM, NOONFALL_PROGRAM, "cameras", "--measure", "3012341", "--out", out.c_str(),
            nullptr);
    ::_exit(1);
  }
  const auto give_up = std::chrono::steady_clock::now() + patience;
  while (!has(text_of_file(err), "It begins in") && std::chrono::steady_clock::now() < give_up)
    ::usleep(10'000);
  ::kill(-pid, SIGINT);
  int status = 0;
  ::waitpid(pid, &status, 0);
  INFO(text_of_file(err));
  CHECK(WIFEXITED(status));
  CHECK(WEXITSTATUS(status) == 3);
  CHECK(has(text_of_file(err), "error: stopped before the end"));
  CHECK_FALSE(std::filesystem::exists(out));
  CHECK(body.taken().empty());
  CHECK(cameras("").exit == 0);
}

// Every dataset of the body has one to four wrong bytes. What the library makes of it, or whether it survives
// it, is the camera process's affair.
TEST_CASE("whatever a body's answers say, it is listed or refused in good order") {
  for (const std::string family : {"generic", "a", "b", "sony", "fuji", "panasonic", "olympus"}) {
    for (int seed = 1; seed <= 12; ++seed) {
      CAPTURE(family);
      CAPTURE(seed);
      const Usb usb;
      const Body body{usb, family,
                      with_line_faults(usb, "  - {fault: damaged answer, how: bytes, seed: " +
                                                std::to_string(seed) + "}\n")};
      const auto ran = cameras("--json");
      INFO(ran.out, ran.err);
      CHECK((ran.exit == 0 || ran.exit == 1 || ran.exit == 3));
      CHECK((ran.out.empty() || json::accept(ran.out)));
      CHECK((ran.exit == 0 || !ran.out.empty() || !ran.err.empty()));
    }
  }
}

// Endless news of family B aren't among them: there the driver itself asks until there are none, and the body
// counts as silent after 90 s.
TEST_CASE(
    "lists of ten thousand choices, names that clear a terminal and endless news: plain words, and an end") {
  for (const std::string family : {"generic", "a", "b", "sony", "fuji", "panasonic", "olympus"}) {
    for (const std::string about : {"many choices", "names", "news"}) {
      if (family == "b" && about == "news") continue;
      CAPTURE(family);
      CAPTURE(about);
      const Usb usb;
      const Body body{usb, family, with_line_faults(usb, "  - {fault: false words, about: " + about + "}\n")};
      const auto ran = cameras("");
      INFO(ran.out, ran.err);
      CHECK((ran.exit == 0 || ran.exit == 1 || ran.exit == 3));
      CHECK(std::ranges::none_of(ran.out + ran.err, [](char c) { return c == '\x1b' || c == '\a'; }));
      CHECK((ran.exit == 0 || !ran.out.empty() || !ran.err.empty()));
    }
  }
}

// Takes its time, in which nobody is waited for but the body; its buffer is small, so that it is full soon.
TEST_CASE("measuring a cabled body gives back its profile, and bounds of its lag") {
  const Usb usb;
  auto truth = *body::find_shipped("mirrorless-20");
  truth.buffer = {250};
  truth.write_rate = {50};
  truth.files = {{5}, {2}};
  const auto profile = usb.folder().path("true.yaml");
  std::ofstream{profile} << body::to_text(truth);
  const Body body{usb, "a", numbered("3012341", "1"), "one", profile};
  const auto file = usb.folder().path("own.yaml");
  const auto ran = cameras("--measure 3012341 --out " + file);
  INFO(ran.out, ran.err);
  REQUIRE(ran.exit == 0);
  CHECK(has(ran.err, "LEAVE THE LENS CAP OR THE SOLAR FILTER ON"));
  const auto text = text_of_file(file);
  INFO(text);
  CHECK(has(text, "# release: NOT the true lag."));
  const auto found = body::parse_profile(text, "own.yaml");
  REQUIRE(found.has_value());
  // A crowded machine may be tens of milliseconds late with anything.
  check_near(found->setting_times.shutter, truth.setting_times.shutter, 0.1, 20ms);
  check_near(found->setting_times.aperture, truth.setting_times.aperture, 0.1, 20ms);
  check_near(found->setting_times.iso, truth.setting_times.iso, 0.1, 20ms);
  CHECK(found->release.typical + found->release.jitter >= truth.release.typical);
  check_near(found->release.typical + found->readout, truth.release.typical + truth.readout, 0.1, 30ms);
  for (const exposure::Shutter shutter : {exposure::Shutter{1, 1000}, {1, 4}, {1, 1}, {2, 1}}) {
    INFO(exposure::to_text(shutter));
    check_near(body::frame_interval(*found, body::Drive::single, shutter),
               body::frame_interval(truth, body::Drive::single, shutter), 0.05, 20ms);
  }
  check_near(body::frame_interval(*found, body::Drive::continuous, {1, 1000}), 50ms, 0.1, 5ms);
  CHECK(found->write_rate.value == doctest::Approx(truth.write_rate.value).epsilon(0.1));
  CHECK(found->buffer.value == doctest::Approx(truth.buffer.value).epsilon(0.15));
}
