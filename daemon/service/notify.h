// What whoever started the daemon as a service is told: sd_notify(3). Where nobody did, nothing happens.
#pragma once

namespace noonfall::service {

/// The run is on: its plan is read and its log open.
void ready();
/// The event loop goes round. More often than the unit's WatchdogSec.
void alive();
void stopping();

}  // namespace noonfall::service
