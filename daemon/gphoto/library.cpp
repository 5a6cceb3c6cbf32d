#include "daemon/gphoto/library.h"

#include "daemon/gphoto/context.h"

namespace noonfall::gphoto {
namespace {

static_assert(result::unspecific == GP_ERROR && result::bad_parameters == GP_ERROR_BAD_PARAMETERS);
static_assert(result::unsupported == GP_ERROR_NOT_SUPPORTED && result::line_failed == GP_ERROR_IO);
static_assert(result::timed_out == GP_ERROR_TIMEOUT && result::device_gone == GP_ERROR_IO_USB_FIND);
static_assert(result::claimed_elsewhere == GP_ERROR_IO_USB_CLAIM);
static_assert(result::camera_busy == GP_ERROR_CAMERA_BUSY);

tl::unexpected<DriverError> failed(int code) {
  return tl::unexpected{DriverError{code, {}}};
}

void set_driver(std::string setting, std::string value) {
  std::string driver = "ptp2";
  gp_setting_set(driver.data(), setting.data(), value.data());
}

/// The library's own limits are up to 100 s, and its own target is the body's memory, from where a picture
/// that nobody fetches is lost. Both are looked at when a body is opened.
void settle_driver() {
  set_driver("normal_timeout", "2000");
  set_driver("capture_timeout", "4000");
  set_driver("start_timeout", "2000");
  set_driver("canon_start_timeout", "1500");
  set_driver("capturetarget", "card");
}

struct FreeList {
  void operator()(CameraList* list) const { gp_list_free(list); }
};

std::vector<Found> entries(CameraList* list) {
  std::vector<Found> found;
  for (int n = 0; n < gp_list_count(list); ++n) {
    const char* model = nullptr;
    const char* path = nullptr;
    gp_list_get_name(list, n, &model);
    gp_list_get_value(list, n, &path);
    if (model != nullptr && path != nullptr) found.push_back({model, path});
  }
  return found;
}

}  // namespace

Library::Library() {
  settle_driver();
  CameraAbilitiesList* drivers = nullptr;
  if (gp_abilities_list_new(&drivers) < GP_OK) return;
  drivers_.reset(drivers);
  gp_abilities_list_load(drivers, nullptr);
}

Tried<void> Library::list_ports() {
  GPPortInfoList* list = nullptr;
  if (const int code = gp_port_info_list_new(&list); code < GP_OK) return failed(code);
  ports_.reset(list);
  const int code = gp_port_info_list_load(list);
  if (code < GP_OK) return failed(code);
  return {};
}

Tried<std::vector<Found>> Library::detect() {
  if (auto listed = list_ports(); !listed) return tl::unexpected{listed.error()};
  CameraList* made = nullptr;
  if (const int code = gp_list_new(&made); code < GP_OK) return failed(code);
  const std::unique_ptr<CameraList, FreeList> list{made};
  Context context;
  const int code = gp_abilities_list_detect(drivers_.get(), ports_.get(), made, context.get());
  if (code < GP_OK) return tl::unexpected{context.error(code)};
  return entries(made);
}

Tried<GPPortInfo> Library::port_of(const Found& found) {
  const int port = gp_port_info_list_lookup_path(ports_.get(), found.path.c_str());
  GPPortInfo info{};
  if (port < GP_OK || gp_port_info_list_get_info(ports_.get(), port, &info) < GP_OK)
    return failed(result::device_gone);
  return info;
}

void Library::reset_port(const Found& found) {
  if (!list_ports()) return;
  const auto info = port_of(found);
  GPPort* port = nullptr;
  if (!info || gp_port_new(&port) < GP_OK) return;
  if (gp_port_set_info(port, *info) >= GP_OK && gp_port_open(port) >= GP_OK) {
    gp_port_reset(port);
    gp_port_close(port);
  }
  gp_port_free(port);
}

Tried<Camera*> Library::camera_at(const Found& found) {
  const int driver = gp_abilities_list_lookup_model(drivers_.get(), found.model.c_str());
  CameraAbilities abilities{};
  if (driver < GP_OK || gp_abilities_list_get_abilities(drivers_.get(), driver, &abilities) < GP_OK)
    return failed(result::unsupported);
  const auto info = port_of(found);
  if (!info) return tl::unexpected{info.error()};
  Camera* camera = nullptr;
  if (const int code = gp_camera_new(&camera); code < GP_OK) return failed(code);
  int code = gp_camera_set_abilities(camera, abilities);
  if (code >= GP_OK) code = gp_camera_set_port_info(camera, *info);
  if (code >= GP_OK) return camera;
  gp_camera_unref(camera);
  return failed(code);
}

}  // namespace noonfall::gphoto
