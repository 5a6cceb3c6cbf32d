// The line between daemon and worker against docs/worker-protocol.md.
#include "daemon/worker/codec.h"

#include <fstream>

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include "tests/source_folder.h"
#include "tests/unit/worker/any_words.h"

namespace noonfall::worker {
namespace {

using namespace std::chrono_literals;

std::string without_end(std::string line) {
  REQUIRE(line.ends_with('\n'));
  line.pop_back();
  return line;
}

template <class Words>
std::string refusal(const Result<Words>& words) {
  REQUIRE_FALSE(words);
  REQUIRE(words.error().size() == 1);
  CHECK_FALSE(words.error().front().hint.empty());
  return words.error().front().code + ": " + on_one_line(words.error().front());
}

constexpr Utc noon{std::chrono::sys_days{std::chrono::year{2027} / 8 / 2} + 12h};

}  // namespace

TEST_CASE("whatever the daemon says is one line that reads back the same") {
  CHECK(rc::check([] {
    const auto words = any_to_worker();
    const auto line = encode(words);
    RC_ASSERT(line.find('\n') == line.size() - 1);
    const auto back = decode_to_worker(std::string_view{line}.substr(0, line.size() - 1));
    RC_ASSERT(back.has_value());
    RC_ASSERT((*back == words));
  }));
}

TEST_CASE("whatever a worker says is one line that reads back the same") {
  CHECK(rc::check([] {
    const auto words = any_from_worker();
    const auto line = encode(words);
    RC_ASSERT(line.find('\n') == line.size() - 1);
    RC_ASSERT(line.size() <= longest_line);
    const auto back = decode_from_worker(std::string_view{line}.substr(0, line.size() - 1));
    RC_ASSERT(back.has_value());
    RC_ASSERT(encode(*back) == line);
    if (const auto* report = std::get_if<NumberedReport>(&words)) {
      RC_ASSERT((std::get<NumberedReport>(*back) == *report));
    }
    if (const auto* picture = std::get_if<Picture>(&words)) RC_ASSERT((std::get<Picture>(*back) == *picture));
    if (const auto* alive = std::get_if<Alive>(&words)) RC_ASSERT((std::get<Alive>(*back) == *alive));
  }));
}

TEST_CASE("the largest picture fits into a line, and what isn't base64 is refused") {
  const Picture picture{
      {0, 1, 2, 3}, {}, {{1, 500}, exposure::FNumber{80}, {100}}, {}, std::string(largest_picture, '\xff')};
  auto line = encode(picture);
  CHECK(line.size() <= longest_line);
  line.pop_back();
  CHECK(std::get<Picture>(*decode_from_worker(line)).jpeg == picture.jpeg);
  const auto at = line.find("////");
  CHECK_FALSE(decode_from_worker(std::string{line}.replace(at, 4, "/ \\\"/")));
  CHECK_FALSE(decode_from_worker(std::string{line}.replace(at, 4, "///")));
  CHECK_FALSE(decode_from_worker(std::string{line}.insert(at, "////")));
  // RFC 4648, section 10: "foobar" is Zm9vYmFy.
  CHECK(encode(Picture{{}, {}, picture.exposure, {}, "foobar"}).find("\"jpeg\":\"Zm9vYmFy\"") !=
        std::string::npos);
}

TEST_CASE("an order is the line that the protocol's page shows") {
  order::Order order;
  order.id = 12;
  order.prepare_from = noon;
  order.earliest = noon + 3s;
  order.frames = {{{0, 4, 1, 1}, {{1, 1600}, exposure::FNumber{80}, {400}}, noon + 3s, noon + 5s},
                  {{0, 4, 1, 2}, {{2, 1}, std::nullopt, {100}}, noon + 3500ms, noon + 5500ms}};
  CHECK(encode(ToWorker{order}) ==
        R"({"say":"order","id":12,"drive":"single","prepare_from_us":1817208000000000,"earliest_us":)"
        R"(1817208003000000,"whole_or_none":false,"frames":[[[0,4,1,1],["1/1600","f/8",400],0,2000000],)"
        R"([[0,4,1,2],["2 s",null,100],500000,2500000]]})"
        "\n");
}

TEST_CASE("a hello says all that a daemon needs to go on") {
  const WorkerHello hello{1, 4711, 2, {"mirror-24", "ab12", "30"}, 8, {{7, noon}, {8, std::nullopt}}, 19};
  const auto line = encode(FromWorker{hello});
  CHECK(line ==
        R"({"say":"hello","version":1,"pid":4711,"rig":2,"profile":"mirror-24","profile_sha256":"ab12",)"
        R"("serial":"30","last_order":8,"held":[{"order":7,"started_us":1817208000000000},{"order":8}],)"
        R"("first_report":19})"
        "\n");
  const auto back = std::get<WorkerHello>(decode_from_worker(without_end(line)).value());
  CHECK(back.body == hello.body);
  CHECK(back.pid == 4711);
  CHECK(back.rig == 2);
  CHECK(back.last_order == 8);
  CHECK(back.first_report == 19);
  REQUIRE(back.held.size() == 2);
  CHECK(back.held[0].started == noon);
  CHECK_FALSE(back.held[1].started);
}

TEST_CASE("of a hello of another version only the version is read") {
  CHECK(std::get<WorkerHello>(*decode_from_worker(R"({"say":"hello","version":9,"pid":"?"})")).version == 9);
  CHECK(std::get<DaemonHello>(*decode_to_worker(R"({"say":"hello","version":0})")).version == 0);
}

TEST_CASE("as many frames as an order may have fit into a line") {
  order::Order order;
  order.id = 1'000'000;
  order.earliest = noon;
  // A burst of the longest kind: a frame each 50 ms over three and a half minutes.
  for (std::int32_t n = 1; n <= static_cast<std::int32_t>(most_frames); ++n) {
    order.frames.push_back(
        {{3, 27, 1, n}, {{1, 8000}, exposure::FNumber{56}, {12800}}, noon + n * 50ms, noon + 250s});
  }
  const auto line = encode(ToWorker{order});
  CHECK(line.size() <= longest_line);
  CHECK(std::get<order::Order>(*decode_to_worker(without_end(line))) == order);
  order.frames.push_back(order.frames.back());
  CHECK(refusal(decode_to_worker(without_end(encode(ToWorker{order})))) ==
        "bad-line: \"frames\" is a list of 4097 (wanted: a list of 1 to 4096)");
}

TEST_CASE("instants beyond all plans are written as the furthest there is") {
  const auto line = encode(ToWorker{order::Recover{order::Remedy::reopen, Utc::max()}});
  const auto back = std::get<order::Recover>(*decode_to_worker(without_end(line)));
  CHECK(back.until > noon + std::chrono::years{100});
}

TEST_CASE("words that are no UTF-8 are mended, too long ones cut between characters") {
  const auto back = [](const std::string& words) {
    return std::get<Note>(*decode_from_worker(without_end(encode(FromWorker{Note{words}})))).words;
  };
  CHECK(back("bad \xff byte") == "bad \xEF\xBF\xBD byte");
  std::string long_words = "x";
  while (long_words.size() < 300'000) long_words += "\xC3\xA9";
  CHECK(back(long_words) == long_words.substr(0, 1999));
}

TEST_CASE("members of later versions are passed over") {
  CHECK(std::get<Acknowledge>(*decode_to_worker(R"({"later":{"a":[1]},"say":"ack","report":3})")) ==
        Acknowledge{3});
}

TEST_CASE("the example of the protocol's page can be spoken") {
  std::ifstream page{NOONFALL_SOURCE "/docs/worker-protocol.md"};
  int of_daemon = 0;
  int of_worker = 0;
  for (std::string line; std::getline(page, line);) {
    CAPTURE(line);
    const auto words =
        line.substr(0, 8) == "daemon  " || line.substr(0, 8) == "worker  " ? line.substr(8) : "";
    if (words.empty()) continue;
    if (line.starts_with("daemon")) {
      CHECK(decode_to_worker(words));
      ++of_daemon;
    } else {
      CHECK(decode_from_worker(words));
      ++of_worker;
    }
  }
  CHECK(of_daemon == 4);
  CHECK(of_worker == 5);
}

TEST_CASE("a line that can't be used says what is wrong with it") {
  const auto to_worker = [](std::string_view line) { return refusal(decode_to_worker(line)); };
  CHECK(to_worker("") == "bad-line: not JSON (wanted: one JSON object)");
  CHECK(to_worker("[1]") == "bad-line: not a JSON object (wanted: one JSON object)");
  const std::string known =
      "(wanted: one of \"hello\", \"clock\", \"order\", \"cancel\", \"recover\", \"due\", \"ack\", \"quit\", "
      "\"look\")";
  CHECK(to_worker("{}") == "bad-line: \"say\" is missing " + known);
  CHECK(to_worker(R"({"say":7})") == "bad-line: \"say\" is 7 " + known);
  CHECK(to_worker(R"({"say":"sing"})") == "unknown-say: \"say\" is \"sing\" " + known);
  for (const std::string report : {"-1", "1.5", "18446744073709551615", "\"1\""}) {
    CHECK(to_worker(R"({"say":"ack","report":)" + report + "}") ==
          "bad-line: \"report\" is " + report + " (wanted: a whole number from 0)");
  }
  CHECK(to_worker(R"({"say":"clock","boot_us":0,"utc_us":9223372036854775807,"speed":1})") ==
        "bad-line: \"utc_us\" is 9223372036854775807 (wanted: a whole number of microseconds)");
  for (const std::string speed : {"0", "-1", "1000000000.0", "null", "\"1\""}) {
    CHECK(to_worker(R"({"say":"clock","boot_us":0,"utc_us":0,"speed":)" + speed + "}") ==
          "bad-line: \"speed\" is " + speed + " (wanted: a number from 0.1 to 1000)");
  }
  CHECK(to_worker(R"({"say":"recover","rung":"pray","until_us":0})") ==
        "bad-line: \"rung\" is \"pray\" "
        "(wanted: one of \"drain and retry\", \"reopen\", \"reset port\", \"restart worker\")");
  const std::string order = R"({"say":"order","id":1,"drive":"single","prepare_from_us":0,"earliest_us":0,)"
                            R"("whole_or_none":false,"frames":)";
  CHECK(to_worker(order + "[]}") == "bad-line: \"frames\" is a list of 0 (wanted: a list of 1 to 4096)");
  CHECK(to_worker(order + R"([[[0,0,1,1],["1/0","f/8",400],0,0]]})") ==
        "bad-line: \"frames[0].exposure.shutter\" is \"1/0\" "
        "(wanted: a shutter time like \"1/500\" or \"2 s\")");
  CHECK(to_worker(order + R"([[[0,0,1],["1/8","f/8",400],0,0]]})") ==
        "bad-line: \"frames[0].frame.frame\" is missing (wanted: a whole number)");
  CHECK(to_worker(order + R"([[[0,0,1,1,1],["1/8","f/8",400],0,0]]})") ==
        "bad-line: \"frames[0].frame\" is a list of 5 (wanted: a list of 4)");
  CHECK(refusal(decode_from_worker(R"({"say":"report","n":0,"what":"done","order":1,"at_us":0})")) ==
        "bad-line: \"n\" is 0 (wanted: a whole number from 1)");
  CHECK(refusal(decode_from_worker(R"({"say":"report","n":1,"what":"sung","order":1,"at_us":0})")) ==
        "bad-line: \"what\" is \"sung\" (wanted: one of \"started\", \"frame\", \"done\", \"state\")");
}

}  // namespace noonfall::worker
