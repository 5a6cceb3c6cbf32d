#include "daemon/gphoto/library.h"

#include "daemon/gphoto/library_session.h"

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

/// The library's own limits are up to 100 s; answers of 15 s were published, and of 20 s at opening none. The
/// limit after opening is set call by call. Its own target is the body's memory, from where a picture that
/// nobody fetches is lost. Both are looked at when a body is opened.
void settle_driver() {
  set_driver("normal_timeout", "20000");
  set_driver("capture_timeout", "20000");
  set_driver("start_timeout", "8000");
  set_driver("canon_start_timeout", "1500");  // its own: the first try of some is never answered
  set_driver("capturetarget", "card");
}

class Library final : public Cables {
 public:
  Library() {
    settle_driver();
    CameraAbilitiesList* drivers = nullptr;
    if (gp_abilities_list_new(&drivers) < GP_OK) return;
    drivers_.reset(drivers);
    gp_abilities_list_load(drivers, nullptr);
  }

  Tried<std::vector<ListedBody>> detect() override {
    if (const int code = list_ports(); code < GP_OK) return failed(code);
    const auto list = new_list();
    Context context;
    const auto done =
        context.done(gp_abilities_list_detect(drivers_.get(), ports_.get(), list.get(), context.get()));
    if (!done) return tl::unexpected{done.error()};
    std::vector<ListedBody> found;
    for (int n = 0; n < gp_list_count(list.get()); ++n) {
      const char* model = nullptr;
      const char* path = nullptr;
      gp_list_get_name(list.get(), n, &model);
      gp_list_get_value(list.get(), n, &path);
      if (model != nullptr && path != nullptr) found.push_back({model, path});
    }
    return found;
  }

  Tried<std::unique_ptr<Session>> open(const ListedBody& found) override {
    CameraAbilities abilities{};
    const int driver = gp_abilities_list_lookup_model(drivers_.get(), found.model.c_str());
    if (driver < GP_OK || gp_abilities_list_get_abilities(drivers_.get(), driver, &abilities) < GP_OK)
      return failed(result::unsupported);
    GPPortInfo port{};
    if (!look_up(found, port)) return failed(result::device_gone);
    Camera* camera = nullptr;
    if (const int code = gp_camera_new(&camera); code < GP_OK) return failed(code);
    int code = gp_camera_set_abilities(camera, abilities);
    if (code >= GP_OK) code = gp_camera_set_port_info(camera, port);
    if (code >= GP_OK) return open_session(camera);
    gp_camera_unref(camera);
    return failed(code);
  }

  void reset_port(const ListedBody& found) override {
    GPPortInfo info{};
    GPPort* port = nullptr;
    if (list_ports() < GP_OK || !look_up(found, info) || gp_port_new(&port) < GP_OK) return;
    if (gp_port_set_info(port, info) >= GP_OK && gp_port_open(port) >= GP_OK) {
      gp_port_reset(port);
      gp_port_close(port);
    }
    gp_port_free(port);
  }

 private:
  [[nodiscard]] int list_ports() {
    GPPortInfoList* list = nullptr;
    if (const int code = gp_port_info_list_new(&list); code < GP_OK) return code;
    ports_.reset(list);
    return gp_port_info_list_load(list);
  }

  [[nodiscard]] bool look_up(const ListedBody& found, GPPortInfo& info) const {
    const int port = gp_port_info_list_lookup_path(ports_.get(), found.path.c_str());
    return port >= GP_OK && gp_port_info_list_get_info(ports_.get(), port, &info) >= GP_OK;
  }

  struct FreePorts {
    void operator()(GPPortInfoList* list) const { gp_port_info_list_free(list); }
  };
  struct FreeDrivers {
    void operator()(CameraAbilitiesList* list) const { gp_abilities_list_free(list); }
  };
  std::unique_ptr<GPPortInfoList, FreePorts> ports_;
  std::unique_ptr<CameraAbilitiesList, FreeDrivers> drivers_;
};

}  // namespace

std::unique_ptr<Cables> camera_library() {
  return std::make_unique<Library>();
}

}  // namespace noonfall::gphoto
