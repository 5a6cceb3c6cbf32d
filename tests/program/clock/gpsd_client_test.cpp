// gpsd's side: gpsd_json(5), protocol 3.
#include "daemon/clock/gpsd_client.h"

#include <doctest/doctest.h>

#include "tests/program/clock/fakes.h"

namespace noonfall::clock {
namespace {

using namespace std::chrono_literals;
using tests::FakeGpsd;
using tests::runs_until;

struct Listening {
  std::vector<GpsdReport> reports;
  std::vector<std::string> lost;
  GpsdClient client;

  Listening(boost::asio::io_context& io, std::uint16_t port)
      : client{io,
               {port, 1ms},
               [this](const GpsdReport& report) { reports.push_back(report); },
               [this](std::string why) { lost.push_back(std::move(why)); }} {
    client.start();
  }
  template <class T>
  int count() const {
    int found = 0;
    for (const auto& report : reports) found += std::holds_alternative<T>(report) ? 1 : 0;
    return found;
  }
};

const std::string fix = "{\"class\":\"TPV\",\"mode\":3,\"time\":\"2027-08-02T08:00:00.000Z\"}\r\n";

}  // namespace

TEST_CASE("gpsd is asked to report, and its reports come on") {
  boost::asio::io_context io;
  FakeGpsd gpsd{io};
  Listening listening{io, gpsd.port()};
  REQUIRE(runs_until(io, [&] { return gpsd.connections() == 1; }));
  gpsd.send(tests::introduction);
  REQUIRE(runs_until(io, [&] { return gpsd.requests().ends_with('\n'); }));
  CHECK(gpsd.requests() ==
        "?WATCH={\"enable\":true,\"json\":true,\"pps\":true};\n");  // at most 80 characters
  gpsd.send("{\"class\":\"DEVICES\",\"devices\":[]}\r\n" + fix);
  REQUIRE(runs_until(io, [&] { return listening.reports.size() == 2; }));
  CHECK(std::holds_alternative<GpsdVersion>(listening.reports[0]));
  CHECK(std::get<GpsFix>(listening.reports[1]).mode == 3);
}

TEST_CASE("half lines are put together, a megabyte without an end breaks the line") {
  boost::asio::io_context io;
  FakeGpsd gpsd{io};
  Listening listening{io, gpsd.port()};
  REQUIRE(runs_until(io, [&] { return gpsd.connections() == 1; }));
  gpsd.send(tests::introduction);
  gpsd.send(fix.substr(0, 20));
  REQUIRE(runs_until(io, [&] { return listening.count<GpsdVersion>() == 1; }));
  CHECK(listening.count<GpsFix>() == 0);
  gpsd.send(fix.substr(20));
  REQUIRE(runs_until(io, [&] { return listening.count<GpsFix>() == 1; }));
  gpsd.send("{\"class\":\"TPV\",\"device\":\"" + std::string(1 << 20, 'x') + "\",\"mode\":3}\r\n");
  REQUIRE(runs_until(io, [&] { return gpsd.connections() == 2 && gpsd.all_sent(); }));
  CHECK(listening.lost == std::vector<std::string>{"the line to gpsd broke"});
  gpsd.send(tests::introduction + fix);
  REQUIRE(runs_until(io, [&] { return listening.count<GpsFix>() == 2; }));
}

TEST_CASE("a line that breaks is told and made again, and half a line is forgotten with it") {
  boost::asio::io_context io;
  FakeGpsd gpsd{io};
  Listening listening{io, gpsd.port()};
  REQUIRE(runs_until(io, [&] { return gpsd.connections() == 1; }));
  gpsd.send(tests::introduction + fix.substr(0, 20));
  REQUIRE(runs_until(io, [&] { return gpsd.all_sent() && listening.count<GpsdVersion>() == 1; }));
  gpsd.hang_up();
  REQUIRE(runs_until(io, [&] { return gpsd.connections() == 2; }));
  CHECK(listening.lost == std::vector<std::string>{"the line to gpsd broke"});
  gpsd.send(tests::introduction + fix);
  REQUIRE(runs_until(io, [&] { return listening.count<GpsFix>() == 1; }));
  CHECK(listening.count<GpsdVersion>() == 2);
}

TEST_CASE("where no gpsd runs this is said, and tried again") {
  boost::asio::io_context io;
  Listening listening{io, tests::dead_port(io)};
  REQUIRE(runs_until(io, [&] { return listening.lost.size() == 3; }));
  CHECK(listening.lost[2] == "gpsd does not run");
}

}  // namespace noonfall::clock
