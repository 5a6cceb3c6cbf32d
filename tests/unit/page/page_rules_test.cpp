#include "daemon/page/page_rules.h"

#include <doctest/doctest.h>

#include "daemon/page/page_address.h"
#include "tests/program/run_program.h"

using namespace noonfall;
using namespace noonfall::page;

namespace {

const Access here{{"127.0.0.1:8027", "localhost:8027"}, true, "0123456789abcdef0123456789abcdef"};
const Access from_elsewhere{{"192.0.2.7:8027"}, false, here.token};

Request get(const std::string& target) {
  return {.method = "GET", .target = target, .host = "127.0.0.1:8027"};
}

Request command() {
  return {.method = "POST",
          .target = "/command",
          .host = "127.0.0.1:8027",
          .origin = "http://127.0.0.1:8027",
          .fetch_site = "same-origin",
          .content_type = "application/json",
          .authorization = "Bearer " + here.token,
          .own_header = "command"};
}

/// The status, 200 with what is given then.
unsigned ruled(const Request& request, const Access& access = here) {
  const auto ruling = rule(request, access);
  CHECK(ruling.wanted.has_value() == (ruling.status == 200));
  CHECK(ruling.words.empty() == ruling.wanted.has_value());
  return ruling.status;
}

/// The command with one thing wrong.
template <class Change>
unsigned ruled_with(Change change, const Access& access = here) {
  auto request = command();
  change(request);
  return ruled(request, access);
}

}  // namespace

TEST_CASE("the page, its parts and its events are given to whoever is here") {
  CHECK(rule(get("/"), here).wanted == Wanted::page);
  CHECK(rule(get("/page.css"), here).wanted == Wanted::style);
  CHECK(rule(get("/page.js"), here).wanted == Wanted::script);
  CHECK(rule(get("/icon.svg"), here).wanted == Wanted::icon);
  CHECK(rule(get("/events"), here).wanted == Wanted::events);
  auto head = get("/");
  head.method = "HEAD";
  CHECK(ruled(head) == 200);
  CHECK(rule(command(), here).wanted == Wanted::command);
}

// RFC 9110 15.5: 404, 405; 15.5.20: 421 where a server isn't who was asked for.
TEST_CASE("nothing else is here, and nothing of the file system") {
  for (const auto* target :
       {"/../etc/passwd", "/page.token", "//", "/events?x", "", "*", "http://127.0.0.1:8027/"})
    CHECK(ruled(get(target)) == 404);
  for (const auto* method : {"POST", "PUT", "DELETE", "OPTIONS", "TRACE", "CONNECT", "get", ""}) {
    auto request = get("/");
    request.method = method;
    CHECK(ruled(request) == 405);
  }
  auto request = get("/command");
  CHECK(ruled(request) == 405);
}

TEST_CASE("a name that isn't exactly this server's is refused: a foreign site's address may lead here") {
  for (const auto* host :
       {"", "127.0.0.1", "127.0.0.1:80", "127.0.0.1:8027.example.org", "127.example.org:8027", "localhost",
        "LOCALHOST:8027", "example.org:8027", "[::1]:8027", " 127.0.0.1:8027"}) {
    auto request = get("/");
    request.host = host;
    CHECK(ruled(request) == 421);
  }
  auto two = get("/");
  two.one_host = false;
  CHECK(ruled(two) == 421);
  auto name = get("/");
  name.host = "localhost:8027";
  CHECK(ruled(name) == 200);
}

TEST_CASE("a body of two lengths is no request") {
  CHECK(ruled_with([](Request& request) { request.two_lengths = true; }) == 400);
}

TEST_CASE("a command needs the token, our page's origin, type and header") {
  CHECK(ruled_with([](Request& request) { request.authorization.clear(); }) == 401);
  CHECK(ruled_with([](Request& request) { request.authorization.back() = '0'; }) == 401);
  CHECK(ruled_with([](Request& request) { request.authorization = "Bearer "; }) == 401);
  CHECK(ruled_with([](Request& request) { request.authorization += "0"; }) == 401);
  CHECK(ruled_with([](Request& request) { request.origin = "http://example.org"; }) == 403);
  CHECK(ruled_with([](Request& request) { request.origin = "null"; }) == 403);
  CHECK(ruled_with([](Request& request) { request.origin = "https://127.0.0.1:8027"; }) == 403);
  CHECK(ruled_with([](Request& request) { request.fetch_site = "cross-site"; }) == 403);
  CHECK(ruled_with([](Request& request) { request.content_type = "text/plain"; }) == 415);
  CHECK(ruled_with([](Request& request) { request.own_header.clear(); }) == 403);
  CHECK(ruled_with([](Request& request) { request.origin.clear(); }) == 200);
  auto none = here;
  none.token.clear();
  CHECK(ruled_with([](Request& request) { request.authorization = "Bearer "; }, none) == 401);
}

TEST_CASE("from another machine one may watch with the token, and never command") {
  auto request = get("/events");
  request.host = "192.0.2.7:8027";  // RFC 5737: an address for examples
  CHECK(ruled(request, from_elsewhere) == 401);
  request.authorization = "Bearer " + here.token;
  CHECK(rule(request, from_elsewhere).wanted == Wanted::events);
  CHECK(ruled_with(
            [](Request& told) {
              told.host = "192.0.2.7:8027";
              told.origin = "http://192.0.2.7:8027";
            },
            from_elsewhere) == 403);
  request = get("/events");
  request.origin = "http://example.org";
  CHECK(ruled(request) == 403);
}

TEST_CASE("equal texts are equal however they are compared") {
  CHECK(equal_in_constant_time("", ""));
  CHECK(equal_in_constant_time("abc", "abc"));
  CHECK_FALSE(equal_in_constant_time("abc", "abd"));
  CHECK_FALSE(equal_in_constant_time("abc", ""));
  CHECK_FALSE(equal_in_constant_time("", "abc"));
  CHECK_FALSE(equal_in_constant_time("abc", "abcabc"));
}

TEST_CASE("the page's address is one IP address and a port, or none") {
  const auto parsed = [](std::string_view text) { return parse_page_address(text).value(); };
  CHECK(parsed("127.0.0.1:8027") == PageAddress{"127.0.0.1", 8027});
  CHECK(parsed("[::1]:0") == PageAddress{"::1", 0});
  CHECK(parsed("0.0.0.0:80") == PageAddress{"0.0.0.0", 80});
  CHECK_FALSE(parsed("none"));
  CHECK(parsed(usual_address));
  for (const auto* text :
       {"", "8027", "127.0.0.1", "127.0.0.1:", "127.0.0.1:x", "127.0.0.1:65536", "::1:8027", "[127.0.0.1]:1",
        "localhost:8027", "127.0.0.1:-1", "127.0.0.1:80 ", "NONE"}) {
    CAPTURE(text);
    const auto refused = parse_page_address(text);
    REQUIRE_FALSE(refused);
    CHECK(refused.error().front().hint == "ADDRESS:PORT like 127.0.0.1:8027 or [::1]:8027, or none");
  }
}

TEST_CASE("a run keeps its token, for its owner alone, and another run has another") {
  const tests::ScratchFolder scratch;
  std::string kept;
  {
    const auto folder = journal::RunFolder::open(scratch.path("run"));
    REQUIRE(folder);
    kept = page_token(*folder).value();
    CHECK(kept.size() == 32);
    CHECK(page_token(*folder).value() == kept);
    CHECK((std::filesystem::status(scratch.path("run/page.token")).permissions() &
           (std::filesystem::perms::group_all | std::filesystem::perms::others_all)) ==
          std::filesystem::perms::none);
    REQUIRE(folder->write_atomically(token_name, "short"));
    CHECK(page_token(*folder).value().size() == 32);
  }
  const auto other = journal::RunFolder::open(scratch.path("other"));
  REQUIRE(other);
  CHECK(page_token(*other).value() != kept);
}

TEST_CASE("a rig's picture is given to whoever may watch, by its number alone") {
  CHECK(ruled(get("/picture/0")) == 200);
  CHECK(rule(get("/picture/12"), here).rig == 12);
  for (const auto* odd : {"/picture/", "/picture/-1", "/picture/x", "/picture/1/", "/picture/1000",
                          "/picture/../page.js", "/picture", "/picture/+1", "/picture/ 1"})
    CHECK_MESSAGE(ruled(get(odd)) == 404, odd);
  auto request = get("/picture/1");
  request.host = "192.0.2.7:8027";
  CHECK(ruled(request) == 421);
  CHECK(ruled(request, from_elsewhere) == 401);
  request.authorization = "Bearer " + here.token;
  CHECK(ruled(request, from_elsewhere) == 200);
  request.fetch_site = "cross-site";
  CHECK(ruled(request, from_elsewhere) == 403);
  request = get("/picture/1");
  request.method = "POST";
  CHECK(ruled(request) == 405);
}
