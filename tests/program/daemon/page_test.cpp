// The watch page of a daemon that runs: served, commanded, and unable to hold it up.
#include <thread>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "tests/program/daemon/field.h"
#include "tests/unit/page/browser.h"

using namespace noonfall;
using namespace noonfall::tests;
using page::tests::Browser;

namespace {

constexpr std::string_view announced = "Watch it: http://127.0.0.1:";

/// Of the page, once it is there.
std::uint16_t port_of(const Field& field) {
  REQUIRE(comes_true([&] { return field.printed().find("#token=") != std::string::npos; }));
  const auto printed = field.printed();
  return static_cast<std::uint16_t>(std::stoi(printed.substr(printed.find(announced) + announced.size())));
}

std::string say(const Field& field, std::uint16_t port, const std::string& words) {
  Browser browser{port};
  REQUIRE(browser.send(
      page::tests::request("POST /command", port,
                           "Connection: close\r\nContent-Type: application/json\r\nX-Noonfall: command\r\n"
                           "Authorization: Bearer " +
                               field.file("page.token") + "\r\n",
                           fmt::format(R"({{"say":"{}"}})", words))));
  const auto answer = browser.rest();
  return answer.substr(answer.find("\r\n\r\n") + 4);
}

}  // namespace

TEST_CASE("a command from the page is carried out, answered and logged as any") {
  Field field;
  field.begin(field_plan, {"--page", "127.0.0.1:0"});
  const auto port = port_of(field);
  CHECK(field.printed().find(field.file("page.token")) ==
        std::string::npos);  // others may read a file's lines
  CHECK(say(field, port, "hold long") == "{\"ok\":true,\"words\":\"hold long\"}\n");
  CHECK(say(field, port, "hold lung") ==
        "{\"ok\":false,\"words\":\"there is no rig \\\"lung\\\" (wanted: \\\"long\\\")\"}\n");
  Browser watcher{port};
  REQUIRE(watcher.send(page::tests::request("GET /events", port)));
  CHECK(watcher.until("\"body\":\"HELD\"").find("\"title\":\"A field\"") != std::string::npos);
  CHECK(say(field, port, "stop") == "{\"ok\":true,\"words\":\"stop\"}\n");
  CHECK(field.exit() == 0);
  const auto commands = field.all<shotlog::CommandLine>();
  REQUIRE(commands.size() == 2);
  CHECK(to_text(commands[0].command) == "hold long");
}

TEST_CASE("clients that read nothing, send half a request or too much cost the run no frame") {
  Field field;
  field.speed = "8";
  field.begin(field_plan, {"--page", "127.0.0.1:0"});
  const auto port = port_of(field);
  std::vector<std::unique_ptr<Browser>> rude;
  for (int n = 0; n < 8; ++n) {
    rude.push_back(std::make_unique<Browser>(port));
    rude.back()->take_little();
    (void)rude.back()->send(page::tests::request("GET /events", port));
    rude.push_back(std::make_unique<Browser>(port));
    (void)rude.back()->send("GET / HTTP/1.1\r\nHost: 127");
  }
  const std::string much(1 << 20, 'x');
  while (field.fired("land") < 20) {
    Browser browser{port};
    (void)browser.send(page::tests::request("GET /", port, "X: " + much + "\r\n"));
    std::this_thread::sleep_for(std::chrono::milliseconds{100});
  }
  CHECK(field.exit() == 0);
  CHECK(field.ended(shotlog::RunEnd::done));
  CHECK(field.fired("crescent") == 9);
  CHECK(field.fired("land") == 39);
  CHECK(field.fired("corona") > 50);
  CHECK(field.broken().empty());
}

TEST_CASE("an address that is none is refused, one that is taken is noted, and none at all is silent") {
  Field field;
  const auto wrong = field.run(field.plan(field_plan) + " --simulate --move C2=+90s --page localhost");
  CHECK(wrong.exit == 2);
  CHECK(wrong.err ==
        "error: \"localhost\" is no address for the page\n"
        "  wanted: ADDRESS:PORT like 127.0.0.1:8027 or [::1]:8027, or none\n");
  field.begin(field_plan, {"--page", "127.0.0.1:0"});
  const auto port = port_of(field);
  Field second;
  second.begin(field_plan, {"--page", fmt::format("127.0.0.1:{}", port)});
  CHECK(
      comes_true([&] { return second.noted(fmt::format("the page can't be shown at 127.0.0.1:{}", port)); }));
  CHECK(second.comes_to_fire("crescent"));
  Field third;
  third.begin(field_plan, {"--page", "none"});
  REQUIRE(third.comes_to_fire("crescent"));
  CHECK(third.printed().find("Watch it") == std::string::npos);
  CHECK_FALSE(std::filesystem::exists(third.folder() + "/page.token"));
}
