// How soon a change of the run is on the watch page, with eight who watch, one that reads nothing and one
// that never finishes its request. Prints percentiles; what is judged is the bar of 300 ms.
#include <algorithm>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <memory>
#include <string>
#include <thread>
#include <vector>

#include <unistd.h>

#include <benchmark/benchmark.h>
#include <fmt/format.h>
#include <boost/asio/buffer.hpp>
#include <boost/asio/connect.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/read_until.hpp>
#include <boost/asio/write.hpp>

#include "tests/drill/daemon_process.h"
#include "tests/source_folder.h"

namespace {

namespace asio = boost::asio;
using asio::ip::tcp;
using Clock = std::chrono::steady_clock;

/// Blocking, which is what a benchmark may do.
class Line {
 public:
  explicit Line(std::uint16_t port) : port_{port} {
    socket_.connect({asio::ip::address_v4::loopback(), port});
  }
  void send(const std::string& first_line, const std::string& more, const std::string& body = {}) {
    asio::write(socket_, asio::buffer(fmt::format(
                             "{} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n{}Content-Length: {}\r\n\r\n{}",
                             first_line, port_, more, body.size(), body)));
  }
  void until(const std::string& words) {
    const auto size = asio::read_until(socket_, asio::dynamic_buffer(got_), words);
    got_.erase(0, size);
  }

 private:
  asio::io_context io_;
  tcp::socket socket_{io_};
  std::uint16_t port_;
  std::string got_;
};

std::string text_of(const std::string& path) {
  std::ifstream file{path, std::ios::binary};
  return {std::istreambuf_iterator<char>{file}, {}};
}

std::uint16_t port_of(const std::string& printed) {
  for (int tries = 0; tries < 1000; ++tries) {
    const auto text = text_of(printed);
    const auto at = text.find("Watch it: http://127.0.0.1:");
    if (at != std::string::npos && text.find('#', at) != std::string::npos)
      return static_cast<std::uint16_t>(std::stoi(text.substr(at + 27)));
    std::this_thread::sleep_for(std::chrono::milliseconds{20});
  }
  return 0;
}

void page_shows_a_change(benchmark::State& state) {
  const auto folder =
      std::filesystem::temp_directory_path() / fmt::format("noonfall-page-bench-{}", ::getpid());
  std::filesystem::create_directories(folder);
  const auto run = (folder / "run").string();
  noonfall::drill::DaemonProcess daemon{NOONFALL_DAEMON, run};
  daemon.start({std::string{NOONFALL_SOURCE} + "/plans/two-rigs-2027.yaml", "--simulate", "--move",
                "C2=+10min", "--page", "127.0.0.1:0"});
  const auto port = port_of(run + ".out");
  if (port == 0) return state.SkipWithError("the daemon shows no page");
  const auto token = text_of(run + "/page.token");
  Line silent{port};
  std::vector<std::unique_ptr<Line>> watchers;
  for (int n = 0; n < 8; ++n) {
    watchers.push_back(std::make_unique<Line>(port));
    watchers.back()->send("GET /events", "");
    watchers.back()->until("\"rigs\":");
  }
  const auto unread = std::move(watchers.back());  // it stays on the line
  watchers.pop_back();
  Line operator_line{port};
  std::vector<double> late_ms;
  bool held = false;
  for (auto _ : state) {
    held = !held;
    const auto told = Clock::now();
    operator_line.send(
        "POST /command",
        "Content-Type: application/json\r\nX-Noonfall: command\r\nAuthorization: Bearer " + token + "\r\n",
        held ? R"({"say":"hold long"})" : R"({"say":"resume long"})");
    for (const auto& watcher : watchers) {
      watcher->until(held ? "\"body\":\"HELD\"" : "\"name\":\"long\",\"body\":\"ready\"");
      late_ms.push_back(std::chrono::duration<double, std::milli>(Clock::now() - told).count());
    }
    operator_line.until("}\n");
    std::this_thread::sleep_for(std::chrono::milliseconds{520});  // no more commands are carried out in 10 s
  }
  std::ranges::sort(late_ms);
  const auto at = [&](double part) {
    return late_ms[static_cast<std::size_t>(part * static_cast<double>(late_ms.size() - 1))];
  };
  state.counters["p50_ms"] = at(0.5);
  state.counters["p99_ms"] = at(0.99);
  state.counters["max_ms"] = late_ms.back();
  daemon.kill(SIGINT);
  (void)daemon.wait(std::chrono::seconds{30});
  std::filesystem::remove_all(folder);
}
BENCHMARK(page_shows_a_change)->Iterations(40)->UseRealTime()->Unit(benchmark::kMillisecond);

}  // namespace
