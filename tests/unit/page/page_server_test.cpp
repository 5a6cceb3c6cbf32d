// The page's server against clients that do as they like.
#include "daemon/page/page_server.h"

#include <atomic>
#include <chrono>
#include <thread>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "tests/failing_sockets.h"
#include "tests/unit/page/browser.h"

using namespace noonfall;
using namespace noonfall::page;
using namespace noonfall::page::tests;
using namespace std::chrono_literals;

namespace {

const std::string token(32, 'a');

/// A server on a port of its own, with an operator's ear behind it.
class Bench {
 public:
  explicit Bench(PageLimits limits = {}, const std::string& ip = "127.0.0.1") {
    auto opened = PageServer::open(
        {ip, 0}, token,
        [this](const std::string& words, const Reply& reply) {
          ++told;
          reply({words != "sing", words});
        },
        limits);
    REQUIRE(opened);
    server = std::move(*opened);
    const auto address = server->address();
    port = static_cast<std::uint16_t>(std::stoi(address.substr(address.rfind(':') + 1)));
  }

  [[nodiscard]] std::string answer(const std::string& bytes) const {
    Browser browser{port};
    (void)browser.send(bytes);
    return browser.rest();
  }
  [[nodiscard]] std::string get(const std::string& target) const {
    return answer(request("GET " + target, port, "Connection: close\r\n"));
  }
  [[nodiscard]] std::string say(const std::string& body, const std::string& more = {}) const {
    return answer(request("POST /command", port,
                          "Connection: close\r\nContent-Type: application/json\r\nX-Noonfall: command\r\n"
                          "Authorization: Bearer " +
                              token + "\r\n" + more,
                          body));
  }
  void show(const std::string& title) const {
    status::StatusFacts facts;
    facts.title = title;
    server->show(std::move(facts));
  }

  std::atomic<int> told = 0;
  std::unique_ptr<PageServer> server;
  std::uint16_t port = 0;
};

/// Watches, until what is shown has come.
void watch(Browser& browser, const Bench& bench) {
  REQUIRE(browser.send(request("GET /events", bench.port)));
  CHECK(code_of(browser.until("\r\n\r\n")) == "200");
  CHECK(browser.until("\n\nevent: access\ndata: {\"commands\":true,").starts_with("retry: 1000\n\n"));
}

/// Shows it until it has come, since nothing is sent to those who weren't there yet.
std::string comes(Browser& browser, const Bench& bench, const std::string& title) {
  bench.show(title);
  return browser.until("\"title\":\"" + title + "\"");
}

}  // namespace

TEST_CASE("the page and its parts are served with what keeps others out") {
  const Bench bench;
  for (const auto* target : {"/", "/page.css", "/page.js", "/icon.svg"}) {
    const auto answer = bench.get(target);
    CHECK(code_of(answer) == "200");
    // platform of the web: CSP level 3, Fetch ("nosniff"), Referrer Policy, RFC 9111.
    for (const auto* guard :
         {"Content-Security-Policy: default-src 'none'; script-src 'self';",
          "frame-ancestors 'none'; base-uri 'none'\r\n", "X-Content-Type-Options: nosniff\r\n",
          "Referrer-Policy: no-referrer\r\n", "Cache-Control: no-store\r\n"})
      CHECK(answer.find(guard) != std::string::npos);
    CHECK(answer.find("Access-Control-") == std::string::npos);
  }
  CHECK(bench.get("/").find("<!DOCTYPE html>") != std::string::npos);
  // Nothing is fetched from anywhere else: the page works without a network.
  for (const auto* target : {"/", "/page.css", "/page.js"}) {
    auto answer = bench.get(target);
    for (auto at = answer.find("://"); at != std::string::npos; at = answer.find("://", at + 1))
      CHECK(answer.substr(at - 4, 22) == "http://www.w3.org/2000");  // the name of SVG
  }
  const auto head = bench.answer(request("HEAD /", bench.port, "Connection: close\r\n"));
  CHECK(code_of(head) == "200");
  CHECK(head.ends_with("\r\n\r\n"));
}

TEST_CASE("requests follow each other on one line") {
  const Bench bench;
  Browser browser{bench.port};
  for (int n = 0; n < 3; ++n) {
    REQUIRE(browser.send(request("GET /", bench.port)));
    CHECK(code_of(browser.until("\r\n\r\n")) == "200");
    CHECK(browser.until("</html>\n").starts_with("<!DOCTYPE html>"));
  }
}

TEST_CASE("a command is carried out and answered as in the socket") {
  const Bench bench;
  const auto done = bench.say(R"({"say":"hold long"})");
  CHECK(code_of(done) == "200");
  CHECK(done.ends_with("\r\n\r\n{\"ok\":true,\"words\":\"hold long\"}\n"));
  CHECK(bench.say(R"({"say":"sing"})").ends_with("{\"ok\":false,\"words\":\"sing\"}\n"));
  CHECK(bench.told == 2);
}

TEST_CASE("what is no command never reaches the run") {
  const Bench bench;
  for (const auto* body :
       {"", "{}", "[]", "hold long", R"({"say":1})", R"({"say":"a","b":1})", R"({"say":"a\nb"})"})
    CHECK(code_of(bench.say(body)) == "400");
  CHECK(code_of(bench.say(R"({"say":"x"})", "Origin: http://example.org\r\n")) == "403");
  CHECK(code_of(bench.say(R"({"say":"x"})", "Sec-Fetch-Site: cross-site\r\n")) == "403");
  const auto without = request(
      "POST /command", bench.port,
      "Connection: close\r\nContent-Type: application/json\r\nX-Noonfall: command\r\n", R"({"say":"x"})");
  CHECK(code_of(bench.answer(without)) == "401");
  CHECK(bench.told == 0);
}

TEST_CASE("another server's name, none, or two are refused") {
  const Bench bench;
  CHECK(code_of(bench.answer("GET / HTTP/1.1\r\nHost: example.org\r\n\r\n")) == "421");
  CHECK(code_of(bench.answer("GET / HTTP/1.1\r\n\r\n")) == "421");
  CHECK(code_of(bench.answer("GET / HTTP/1.0\r\n\r\n")) == "421");
  CHECK(code_of(bench.answer(
            request("GET /", bench.port, fmt::format("Host: 127.0.0.1:{}\r\n", bench.port)))) == "421");
}

TEST_CASE("a megabyte of headers or body is refused before it is read") {
  const Bench bench;
  const std::string megabyte(1 << 20, 'x');
  const auto refused = [&](const std::string& bytes) {
    Browser browser{bench.port};
    (void)browser.send(bytes);
    return code_of(browser.rest().substr(0, 20));
  };
  // The line may be reset while the rest is still being sent: then there is no answer to read.
  const auto headers = refused(request("GET /", bench.port, "X: " + megabyte + "\r\n"));
  CHECK((headers == "431" || headers == "400" || headers.empty()));
  const auto body = refused(request("POST /command", bench.port, {}, megabyte));
  CHECK((body == "413" || body.empty()));
  CHECK(refused(request("GET /" + std::string(9000, 'x'), bench.port)) != "200");
  CHECK(code_of(bench.get("/")) == "200");
}

// RFC 9112 6.3: a message with both lengths may be an attempt to smuggle a request.
TEST_CASE("a body of two lengths, and what is no HTTP at all, is refused") {
  const Bench bench;
  const auto both =
      bench.answer(request("POST /command", bench.port,
                           "Content-Length: 3\r\nTransfer-Encoding: chunked\r\n\r\n3\r\nabc\r\n0\r\n\r\n"));
  CHECK(code_of(both) == "400");
  for (const auto* bytes : {"\r\n\r\n\r\n\r\n", "hello\r\n\r\n", "GET / HTTP/9.9\r\n\r\n",
                            "\x16\x03\x01\x02\x00\x01\x00"
                            "\x01\xfc\r\n\r\n"})
    CHECK(code_of(bench.answer(bytes)) != "200");
  CHECK(code_of(bench.get("/")) == "200");
}

TEST_CASE("a change comes to each who watches, and who watches last sees the newest") {
  const Bench bench;
  std::vector<std::unique_ptr<Browser>> browsers;
  for (int n = 0; n < 8; ++n) watch(*browsers.emplace_back(std::make_unique<Browser>(bench.port)), bench);
  bench.show("one");
  for (const auto& browser : browsers)
    CHECK(browser->until("\"title\":\"one\"").find("data: {") != std::string::npos);
  // A ninth is told why not.
  CHECK(bench.get("/events").find("8 others watch already; close one of them\n") != std::string::npos);
  browsers.pop_back();
  // Nobody notices that one is gone before something is sent to it.
  bool let_in = false;
  while (!let_in) {
    bench.show("two");
    Browser late{bench.port};
    REQUIRE(late.send(request("GET /events", bench.port)));
    let_in = code_of(late.until("\r\n\r\n")) == "200";
    if (let_in) CHECK(comes(late, bench, "three").ends_with("\"title\":\"three\""));
  }
}

TEST_CASE("a reader that takes nothing costs the others nothing, and is cut") {
  const Bench bench{{.progress = 300ms}};
  Browser stuck{bench.port};
  stuck.take_little();
  watch(stuck, bench);
  Browser quick{bench.port};
  watch(quick, bench);
  const std::string much(20'000, 'x');
  // Until the system holds no more for it, some hundred events.
  for (int n = 0; n < 400; ++n) {
    const auto title = fmt::format("{} {}", n, much);
    CHECK(comes(quick, bench, title).ends_with("\""));
  }
  CHECK(stuck.rest().size() < 400 * much.size());  // the line was ended: nothing waited for it all
  CHECK(comes(quick, bench, "still").ends_with("\""));
}

TEST_CASE("half a request is waited for only so long, and keeps nobody else out") {
  const Bench bench{{.request = 300ms, .connections = 4}};
  std::vector<std::unique_ptr<Browser>> silent;
  for (const auto* bytes : {"", "G", "GET / HTTP/1.1\r\nHost: 127"}) {
    silent.push_back(std::make_unique<Browser>(bench.port));
    (void)silent.back()->send(bytes);
  }
  CHECK(code_of(bench.get("/")) == "200");
  for (const auto& browser : silent) CHECK(browser->rest().empty());
  for (int n = 0; n < 4; ++n) CHECK(code_of(bench.get("/")) == "200");
}

TEST_CASE("more connections than there is room for are closed, and room is made again") {
  const Bench bench{{.connections = 2}};
  {
    Browser one{bench.port};
    Browser two{bench.port};
    (void)one.send("G");
    (void)two.send("G");
    Browser three{bench.port};
    CHECK(three.rest().empty());
  }
  while (code_of(bench.get("/")) != "200") continue;
}

TEST_CASE("where another listens there is no page, and the reason says so") {
  const Bench bench;
  const auto second = PageServer::open({"127.0.0.1", bench.port}, token, {});
  REQUIRE_FALSE(second);
  CHECK(second.error().front().message ==
        fmt::format("the page can't be shown at 127.0.0.1:{}: Address already in use", bench.port));
  CHECK_FALSE(PageServer::open({"192.0.2.7", 0}, token, {}));  // RFC 5737: nobody's address
}

TEST_CASE("a server ends with clients on every line, and a late reply is nobody's") {
  Reply late;
  std::atomic<bool> asked = false;
  std::unique_ptr<Browser> browser;
  std::unique_ptr<Browser> watcher;
  {
    auto server = PageServer::open({"127.0.0.1", 0}, token, [&](const std::string&, Reply reply) {
                    late = std::move(reply);
                    asked = true;
                  }).value();
    const auto address = server->address();
    const auto port = static_cast<std::uint16_t>(std::stoi(address.substr(address.rfind(':') + 1)));
    browser = std::make_unique<Browser>(port);
    watcher = std::make_unique<Browser>(port);
    REQUIRE(watcher->send(request("GET /events", port)));
    (void)watcher->until("event: access");
    REQUIRE(browser->send(request(
        "POST /command", port,
        "Content-Type: application/json\r\nX-Noonfall: command\r\nAuthorization: Bearer " + token + "\r\n",
        R"({"say":"hold long"})")));
    while (!asked) std::this_thread::sleep_for(1ms);
  }
  late({true, "too late"});
  CHECK(browser->rest().empty());
  (void)watcher->rest();
}

TEST_CASE("whichever socket call fails, the next client is served") {
  for (int number = 1;; ++number) {
    CAPTURE(number);
    const noonfall::tests::FailingSocketCall failing{number};
    const Bench bench;
    (void)bench.get("/");
    (void)bench.say(R"({"say":"hold long"})");
    Browser watcher{bench.port};
    (void)watcher.send(request("GET /events", bench.port));
    (void)watcher.until("event: access");
    const bool failed = noonfall::tests::FailingSocketCall::calls() >= number;
    CHECK(code_of(bench.get("/")) == "200");
    CHECK(bench.say(R"({"say":"hold long"})").ends_with("{\"ok\":true,\"words\":\"hold long\"}\n"));
    CHECK(bench.told >= 1);
    if (failed) continue;
    CHECK(number > 10);
    break;
  }
}
