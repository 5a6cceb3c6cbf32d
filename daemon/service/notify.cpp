#include "daemon/service/notify.h"

#include <systemd/sd-daemon.h>

namespace noonfall::service {

void ready() {
  sd_notify(0, "READY=1");
}

void alive() {
  sd_notify(0, "WATCHDOG=1");
}

void stopping() {
  sd_notify(0, "STOPPING=1");
}

}  // namespace noonfall::service
