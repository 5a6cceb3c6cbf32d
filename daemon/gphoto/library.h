// The camera library of this process: its drivers, its settings, and the bodies it sees.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include <gphoto2/gphoto2.h>

#include "daemon/gphoto/driver_error.h"

namespace noonfall::gphoto {

/// A body as the library lists it: where it is now, not who it is.
struct Found {
  std::string model;
  std::string path;  // "usb:001,004", or "ptpip:…"
  bool operator==(const Found&) const = default;
};

/// For one thread; its settings are the process's, so there is one of it. Loads the drivers when made.
class Library {
 public:
  Library();

  /// Lists the ports anew each time: a body that came back stands at another address.
  [[nodiscard]] Tried<std::vector<Found>> detect();

  /// A camera that knows its driver and port, not opened yet; the caller frees it.
  [[nodiscard]] Tried<Camera*> camera_at(const Found& found);

  /// As if the cable had been pulled for a moment; no session may be open there.
  void reset_port(const Found& found);

 private:
  [[nodiscard]] Tried<void> list_ports();
  [[nodiscard]] Tried<GPPortInfo> port_of(const Found& found);

  struct FreePorts {
    void operator()(GPPortInfoList* list) const { gp_port_info_list_free(list); }
  };
  struct FreeDrivers {
    void operator()(CameraAbilitiesList* list) const { gp_abilities_list_free(list); }
  };
  std::unique_ptr<GPPortInfoList, FreePorts> ports_;
  std::unique_ptr<CameraAbilitiesList, FreeDrivers> drivers_;
};

}  // namespace noonfall::gphoto
