// Layout: chrony 4.3, candm.h. That requests shorter than the reply are dropped: the same, "padding".
#include "daemon/clock/chrony_client.h"

#include <doctest/doctest.h>

#include "tests/program/clock/fakes.h"

namespace noonfall::clock {
namespace {

using namespace std::chrono_literals;
using tests::Answer;
using tests::FakeChronyd;
using tests::runs_until;

/// A client that is asked and keeps what it heard.
struct Asking {
  boost::asio::io_context& io;
  std::vector<ChronyTracking> answers;
  std::vector<std::string> silences;
  ChronyClient client;

  Asking(boost::asio::io_context& with, std::uint16_t port, std::chrono::milliseconds deadline = 1h)
      : io{with},
        client{with,
               {port, 5ms, deadline},
               [this](const ChronyTracking& tracking) { answers.push_back(tracking); },
               [this](std::string why) { silences.push_back(std::move(why)); }} {
    client.start();
  }
};

std::vector<std::byte> answer_to(std::uint32_t sequence, std::uint16_t stratum = 1) {
  Answer answer;
  answer.sequence = sequence;
  answer.stratum = stratum;
  return tests::bytes_of(answer);
}

}  // namespace

TEST_CASE("chronyd is asked again and again, in its full length") {
  boost::asio::io_context io;
  FakeChronyd chronyd{io, [](std::uint32_t sequence) { return FakeChronyd::Datagrams{answer_to(sequence)}; }};
  Asking asking{io, chronyd.port()};
  REQUIRE(runs_until(io, [&] { return asking.answers.size() == 3; }));
  CHECK(chronyd.request_size() == 104);
  CHECK(asking.silences.empty());
}

TEST_CASE("where no chronyd runs this is said each time") {
  boost::asio::io_context io;
  Asking asking{io, tests::dead_port(io)};
  REQUIRE(runs_until(io, [&] { return asking.silences.size() == 2; }));
  CHECK(asking.silences[0] == "chronyd does not run");
  CHECK(asking.silences[1] == "chronyd does not run");
}

TEST_CASE("a silent chronyd is given up and asked again") {
  boost::asio::io_context io;
  int asked = 0;
  FakeChronyd chronyd{io, [&](std::uint32_t sequence) {
                        return ++asked <= 2 ? FakeChronyd::Datagrams{}
                                            : FakeChronyd::Datagrams{answer_to(sequence)};
                      }};
  Asking asking{io, chronyd.port(), 10ms};
  REQUIRE(runs_until(io, [&] { return !asking.answers.empty(); }));
  REQUIRE(asking.silences.size() >= 2);
  CHECK(asking.silences[0] == "chronyd does not answer");
}

TEST_CASE("answers to other questions are passed over, the right one behind them counts") {
  boost::asio::io_context io;
  FakeChronyd chronyd{io, [](std::uint32_t sequence) {
                        return FakeChronyd::Datagrams{answer_to(sequence + 1, 2), FakeChronyd::Bytes{},
                                                      FakeChronyd::Bytes(7), FakeChronyd::Bytes(1500),
                                                      answer_to(sequence, 3)};
                      }};
  Asking asking{io, chronyd.port()};
  REQUIRE(runs_until(io, [&] { return !asking.answers.empty(); }));
  CHECK(asking.answers[0].stratum == 3);
  CHECK(asking.silences.empty());
}

TEST_CASE("garbage with our number on it is refused in words") {
  boost::asio::io_context io;
  FakeChronyd chronyd{io, [](std::uint32_t sequence) {
                        auto bytes = answer_to(sequence);
                        bytes.resize(200);
                        return FakeChronyd::Datagrams{bytes};
                      }};
  Asking asking{io, chronyd.port()};
  REQUIRE(runs_until(io, [&] { return !asking.silences.empty(); }));
  CHECK(asking.silences[0] == "chronyd answers with 200 bytes instead of 104");
  CHECK(asking.answers.empty());
}

TEST_CASE("an answer that comes after its deadline is nobody's") {
  boost::asio::io_context io;
  std::uint32_t first = 0;
  FakeChronyd chronyd{io, [&](std::uint32_t sequence) -> FakeChronyd::Datagrams {
                        if (first == 0) {
                          first = sequence;
                          return {};
                        }
                        return {answer_to(first, 2), answer_to(sequence, 3)};
                      }};
  Asking asking{io, chronyd.port(), 10ms};
  REQUIRE(runs_until(io, [&] { return !asking.answers.empty(); }));
  CHECK(asking.answers[0].stratum == 3);
}

TEST_CASE("a question asked out of turn while one is out is that one") {
  boost::asio::io_context io;
  FakeChronyd chronyd{io, [](std::uint32_t sequence) { return FakeChronyd::Datagrams{answer_to(sequence)}; }};
  Asking asking{io, chronyd.port()};
  asking.client.ask();
  asking.client.ask();
  REQUIRE(runs_until(io, [&] { return !asking.answers.empty(); }));
  CHECK(chronyd.asked() == 1);
}

}  // namespace noonfall::clock
