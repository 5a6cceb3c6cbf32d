#include "daemon/service/inhibitor.h"

#include <fcntl.h>
#include <systemd/sd-bus.h>

#include <memory>

#include "daemon/posix/error_words.h"

namespace noonfall::service {
namespace {

constexpr std::uint64_t patience_us = 2'000'000;

struct Unref {
  void operator()(sd_bus* bus) const { sd_bus_flush_close_unref(bus); }
  void operator()(sd_bus_message* message) const { sd_bus_message_unref(message); }
};

tl::unexpected<Diagnostics> failed(int error) {
  return fail(error_at({}, "inhibitor", "the machine isn't kept awake by us: " + posix::error_words(-error),
                       "sleep and lid switched off in the desktop's power settings, the lid open"));
}

}  // namespace

// org.freedesktop.login1(5), Manager.Inhibit(); the lid has to be named (systemd's LidSwitchIgnoreInhibited).
Result<posix::FileDescriptor> keep_awake() {
  sd_bus* opened = nullptr;
  if (const int error = sd_bus_open_system(&opened); error < 0) return failed(error);
  const std::unique_ptr<sd_bus, Unref> bus{opened};
  sd_bus_set_method_call_timeout(bus.get(), patience_us);
  sd_bus_message* answered = nullptr;
  const int error = sd_bus_call_method(bus.get(), "org.freedesktop.login1", "/org/freedesktop/login1",
                                       "org.freedesktop.login1.Manager", "Inhibit", nullptr, &answered,
                                       "ssss", "sleep:idle:handle-lid-switch", "noonfall",
                                       "an eclipse is being photographed", "block");
  if (error < 0) return failed(error);
  const std::unique_ptr<sd_bus_message, Unref> answer{answered};
  int lock = -1;
  if (const int unread = sd_bus_message_read(answer.get(), "h", &lock); unread < 0) return failed(unread);
  return posix::FileDescriptor{::fcntl(lock, F_DUPFD_CLOEXEC, 0)};  // the message's own goes with it
}

}  // namespace noonfall::service
