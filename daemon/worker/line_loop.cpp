#include "daemon/worker/line_loop.h"

#include <poll.h>
#include <sys/signalfd.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <memory>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "daemon/diagnostic/log.h"
#include "daemon/posix/boot_time.h"
#include "daemon/posix/file_descriptor.h"
#include "daemon/posix/unix_socket.h"
#include "daemon/worker/codec.h"
#include "daemon/worker/daemon_line.h"
#include "daemon/worker/order_book.h"
#include "lib/base/match.h"

namespace noonfall::worker {
namespace {

using namespace std::chrono_literals;

constexpr std::size_t most_lines = 16;
constexpr std::size_t enough_unsaid = 64U << 10U;
constexpr Duration alive_period = 1s;
constexpr Duration last_words_patience = 1s;

class LineLoop {
 public:
  LineLoop(LineSetup setup, posix::FileDescriptor listening, int signals, DeviceLine& device)
      : setup_{std::move(setup)},
        listening_{std::move(listening)},
        signals_{signals},
        device_{device},
        daemon_seen_{posix::boot_now()},
        notes_{setup_.introduction} {}

  void run() {
    for (;;) {
      wait();
      take_in_connections();
      for (const auto& line : lines_) listen(*line);
      take_reports();
      speak();
      drop_ended();
      const auto now = posix::boot_now();
      if (said_enough(now)) return;
      stop_if_idle_and_alone(now);
    }
  }

 private:
  void wait() {
    std::vector<pollfd> polled{{signals_, POLLIN, 0},
                               {device_.reports.bell().descriptor(), POLLIN, 0},
                               {listening_.get(), POLLIN, 0}};
    for (const auto& line : lines_) {
      const auto wanted = line->unsaid() > 0 ? POLLIN | POLLOUT : POLLIN;
      polled.push_back({line->descriptor(), static_cast<short>(wanted), 0});
    }
    const auto left = std::clamp<Duration>(last_alive_ + alive_period - posix::boot_now(), 0s, alive_period);
    const auto limit_ms = std::chrono::ceil<std::chrono::milliseconds>(device_ended_ ? Duration{20ms} : left);
    ::poll(polled.data(), polled.size(), static_cast<int>(limit_ms.count()));
    signalfd_siginfo signal{};
    if (::read(signals_, &signal, sizeof signal) == sizeof signal) device_.stop.request();
  }

  void take_in_connections() {
    for (;;) {
      posix::FileDescriptor socket{
          ::accept4(listening_.get(), nullptr, nullptr, SOCK_NONBLOCK | SOCK_CLOEXEC)};
      if (!socket.is_open()) return;
      lines_.push_back(std::make_unique<DaemonLine>(std::move(socket)));
      if (lines_.size() <= most_lines) continue;
      const auto silent = std::ranges::find(lines_, false, [](const auto& line) { return line->greeted(); });
      (*silent)->end("too many lines, and nothing was said on this one");
      drop_ended();
    }
  }

  void take_reports() {
    for (auto& note : device_.notes.take()) notes_.push_back(std::move(note));
    for (auto& report : device_.reports.take()) book_.add(std::move(report));
    for (auto& preview : device_.previews.take()) look_at(preview);
  }

  /// A daemon that comes later has no use for it.
  void look_at(Preview& preview) {
    auto* line = daemon();
    if (line == nullptr || !setup_.see) return;
    const auto& frame = preview.frame;
    const auto seen = setup_.see(preview.jpeg);
    if (!seen) return line->say(Note{"the body's small picture of " + frame.files.front() + " is no JPEG"});
    line->say(Picture{frame.id, frame.opened, frame.exposure, *seen, std::move(preview.jpeg)});
  }

  void listen(DaemonLine& line) {
    for (const auto& text : line.read()) {
      hear(line, text);
      if (line.ended() && !line.ended()->empty()) return;
    }
  }

  void hear(DaemonLine& line, const std::string& text) {
    const auto words = decode_to_worker(text);
    if (words) return hear(line, *words);
    const auto& error = words.error().front();
    spdlog::info("a daemon speaks garbage: {}", on_one_line(error));
    if (error.code == "unknown-say") return line.say(Refusal{on_one_line(error), std::nullopt});
    line.end(on_one_line(error));
  }

  void hear(DaemonLine& line, const ToWorker& words) {
    if (const auto* hello = std::get_if<DaemonHello>(&words)) return greet(line, *hello);
    if (!line.greeted()) return line.end("a hello comes first");
    std::visit(Match{[](const DaemonHello&) {}, [&](const ClockMapping& mapping) { set_clock(mapping); },
                     [&](const order::Order& order) { take(line, order); },
                     [&](const order::Cancel& cancel) { device_.to_device.put({cancel}); },
                     [&](const order::Recover& recover) { device_.to_device.put({recover}); },
                     [&](const NextDue& due) {
                       device_.next_due = due.at;
                       device_.to_device.nudge();
                     },
                     [&](const Acknowledge& ack) { book_.acknowledge(ack.report); },
                     [&](const Quit&) { device_.stop.request(); },
                     [&](const MayLook& look) {
                       device_.may_look = look.allowed;
                       device_.to_device.nudge();
                     }},
               words);
  }

  void greet(DaemonLine& line, const DaemonHello& hello) {
    if (hello.version != protocol_version) {
      return line.end(fmt::format("version {} of the protocol isn't spoken here: version {} is",
                                  hello.version, protocol_version));
    }
    for (const auto& other : lines_) {
      if (other.get() != &line && other->greeted()) other->end("another daemon has come");
    }
    take_reports();
    spdlog::info("a daemon is on the line");
    line.greet();
    line.say(WorkerHello{protocol_version, ::getpid(), setup_.rig, setup_.body, book_.last_order(),
                         book_.held(), book_.first_report()});
    book_.say_again();
  }

  void set_clock(const ClockMapping& mapping) {
    device_.clock.set(mapping);
    device_.to_device.nudge();
  }

  void take(DaemonLine& line, const order::Order& order) {
    if (!device_.clock.is_set()) return line.say(Refusal{"the clock comes before the first order", order.id});
    take_reports();
    if (auto why = book_.take(order)) return line.say(Refusal{std::move(*why), order.id});
    device_.to_device.put({order});
  }

  /// Reports as far as the line takes them, and a sign of life each second.
  void speak() {
    auto* line = daemon();
    if (line != nullptr) {
      daemon_seen_ = posix::boot_now();
      // Once each: a daemon that comes back has them in its log.
      for (auto& note : std::exchange(notes_, {})) line->say(Note{std::move(note)});
      line->flush();
      while (line->unsaid() < enough_unsaid) {
        const auto* report = book_.next_to_say();
        if (report == nullptr) break;
        line->say(*report);
      }
    }
    if (posix::boot_now() < last_alive_ + alive_period) return;
    last_alive_ = posix::boot_now();
    stay_reachable();
    if (line != nullptr) line->say(Alive{device_.call.read(), device_.levels()});
  }

  /// A folder that was deleted or moved away, and is there anew: the next daemon looks for us in it.
  void stay_reachable() {
    const auto name = socket_name(setup_.rig);
    if (::access((setup_.socket_folder + "/" + name).c_str(), F_OK) == 0 || errno != ENOENT) return;
    if (auto socket = posix::listen_in(setup_.socket_folder, name)) listening_ = std::move(*socket);
  }

  void drop_ended() {
    for (const auto& line : lines_) {
      if (line->ended() && !line->ended()->empty()) line->say(Refusal{*line->ended(), std::nullopt});
    }
    std::erase_if(lines_, [](const auto& line) { return line->ended().has_value(); });
  }

  void stop_if_idle_and_alone(BootTime now) {
    if (daemon() == nullptr && book_.idle() && now - daemon_seen_ >= setup_.linger) device_.stop.request();
  }

  /// After the device thread's end: everything is acknowledged, or nobody does it within a second.
  bool said_enough(BootTime now) {
    if (!device_.ended) return false;
    if (!device_ended_) {
      device_ended_ = now;
      take_reports();
      speak();
    }
    return daemon() == nullptr || book_.all_acknowledged() || now - *device_ended_ > last_words_patience;
  }

  DaemonLine* daemon() {
    const auto found = std::ranges::find_if(
        lines_, [](const auto& line) { return line->greeted() && !line->ended().has_value(); });
    return found == lines_.end() ? nullptr : found->get();
  }

  LineSetup setup_;
  posix::FileDescriptor listening_;
  int signals_;
  DeviceLine& device_;
  OrderBook book_;
  std::vector<std::unique_ptr<DaemonLine>> lines_;
  BootTime last_alive_{};
  BootTime daemon_seen_;
  std::optional<BootTime> device_ended_;
  std::vector<std::string> notes_;  // for the next daemon that comes, the introduction first
};

}  // namespace

void talk(LineSetup setup, posix::FileDescriptor listening, int signals, DeviceLine& device) {
  LineLoop{std::move(setup), std::move(listening), signals, device}.run();
}

}  // namespace noonfall::worker
