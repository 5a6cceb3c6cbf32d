#include "tests/program/worker/fake_daemon.h"

#include <poll.h>
#include <signal.h>
#include <sys/socket.h>

#include <algorithm>
#include <array>
#include <thread>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "daemon/diagnostic/log.h"
#include "daemon/posix/boot_time.h"
#include "daemon/posix/unix_socket.h"
#include "daemon/worker/codec.h"

namespace noonfall::tests {

using namespace std::chrono_literals;
using namespace worker;

Utc plan_noon() {
  return Utc{std::chrono::sys_days{std::chrono::year{2027} / 8 / 2} + 12h};
}

ClockMapping clock_from_now(double speed) {
  return {posix::boot_now(), plan_noon(), speed};
}

order::Order order_at(std::int64_t id, Utc due, int count, Duration late) {
  order::Order order;
  order.id = id;
  order.prepare_from = plan_noon();
  order.earliest = due;
  for (int n = 0; n < count; ++n) {
    const auto at = due + n * 500ms;
    order.frames.push_back({{0, 0, static_cast<std::int32_t>(id), n + 1},
                            {{1, 500}, exposure::FNumber{80}, {400}},
                            at,
                            at + late});
  }
  return order;
}

RunFolder::RunFolder() : path_{scratch_.path(std::string(120, 'a'))} {
  std::filesystem::create_directory(path_);
  diagnostic::begin("test");  // the level that a worker is started with
}

RunFolder::~RunFolder() {
  CHECK(text_of_file(path("stderr")) == "");
  CHECK(text_of_file(path("rig-0.stderr")) == "");
}

Worker::Worker(const RunFolder& folder, std::vector<std::string> options) {
  posix::Command command{NOONFALL_CAMERA,
                         {"--socket-dir", folder.path(), "--rig", "0"},
                         folder.path("home"),
                         folder.path("stderr")};
  if (std::ranges::find(options, "--simulate") == options.end()) {
    command.arguments.insert(command.arguments.end(), {"--simulate", "mirrorless-20"});
  }
  command.arguments.insert(command.arguments.end(), options.begin(), options.end());
  auto process = posix::Process::start(command);
  REQUIRE(process);
  process_ = std::move(*process);
}

Worker::~Worker() {
  if (has_ended(0ms)) return;
  signal(SIGKILL);
  (void)end();
}

bool Worker::has_ended(std::chrono::milliseconds wait) const {
  return process_->has_ended(wait);
}

std::string Worker::end() const {
  CHECK(has_ended());
  return to_text(process_->end());
}

FakeDaemon::FakeDaemon(const RunFolder& folder) {
  const auto give_up = std::chrono::steady_clock::now() + patience;
  while (!socket_.is_open() && std::chrono::steady_clock::now() < give_up) {
    socket_ = posix::connect_in(folder.path(), socket_name(0));
    if (!socket_.is_open()) std::this_thread::sleep_for(5ms);
  }
  INFO(text_of_file(folder.path("stderr")));
  REQUIRE(socket_.is_open());
}

void FakeDaemon::send(const std::string& bytes) {
  std::string_view left = bytes;
  while (!left.empty()) {
    const auto sent = ::send(socket_.get(), left.data(), left.size(), MSG_NOSIGNAL);
    if (sent > 0) {
      left.remove_prefix(static_cast<std::size_t>(sent));
      continue;
    }
    if (errno != EAGAIN) return;  // the worker has closed the line: what it said is what counts
    pollfd polled{socket_.get(), POLLOUT, 0};
    REQUIRE(::poll(&polled, 1, static_cast<int>(std::chrono::milliseconds{patience}.count())) > 0);
  }
}

void FakeDaemon::say(const ToWorker& words) {
  send(encode(words));
}

WorkerHello FakeDaemon::greet(const ClockMapping& clock) {
  say(DaemonHello{});
  say(clock);
  return next<WorkerHello>();
}

std::optional<std::string> FakeDaemon::next_line() {
  for (;;) {
    if (auto line = lines_.next()) return line;
    pollfd polled{socket_.get(), POLLIN, 0};
    REQUIRE(::poll(&polled, 1, static_cast<int>(std::chrono::milliseconds{patience}.count())) > 0);
    std::array<char, 1U << 16U> block;
    const auto got = ::recv(socket_.get(), block.data(), block.size(), 0);
    if (got <= 0) return std::nullopt;
    lines_.add({block.data(), static_cast<std::size_t>(got)});
  }
}

FromWorker FakeDaemon::next_words() {
  const auto line = next_line();
  REQUIRE(line);
  auto words = decode_from_worker(*line);
  REQUIRE(words);
  return std::move(*words);
}

std::vector<NumberedReport> FakeDaemon::reports_of(std::int64_t order) {
  std::vector<NumberedReport> reports;
  for (;;) {
    reports.push_back(next<NumberedReport>());
    const auto* done = std::get_if<order::OrderDone>(&reports.back().report);
    if (done != nullptr && done->order == order) return reports;
  }
}

std::vector<std::string> FakeDaemon::last_words() {
  std::vector<std::string> refusals;
  while (const auto line = next_line()) {
    const auto words = decode_from_worker(*line);
    REQUIRE(words);
    if (const auto* refusal = std::get_if<Refusal>(&*words)) refusals.push_back(refusal->words);
  }
  return refusals;
}

std::vector<order::FrameDone> frames_of(const std::vector<NumberedReport>& reports) {
  std::vector<order::FrameDone> frames;
  for (const auto& [number, report] : reports) {
    if (const auto* done = std::get_if<order::FrameDone>(&report)) frames.push_back(*done);
  }
  return frames;
}

}  // namespace noonfall::tests
