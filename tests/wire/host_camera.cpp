#include "tests/wire/host_camera.h"

#include <cstdlib>

#include <doctest/doctest.h>

#include "tests/wire/bodies.h"

namespace noonfall::tests {
namespace {

void must(int result) {
  if (result < GP_OK) throw std::runtime_error(gp_result_as_string(result));
}

/// The driver list takes the library long to load, and is the same for all.
CameraAbilitiesList* drivers() {
  static CameraAbilitiesList* const list = [] {
    CameraAbilitiesList* loaded = nullptr;
    must(gp_abilities_list_new(&loaded));
    must(gp_abilities_list_load(loaded, nullptr));
    return loaded;
  }();
  return list;
}

template <class T, int (*release)(T*)>
struct Released {
  void operator()(T* each) const { release(each); }
};
using Ports = std::unique_ptr<GPPortInfoList, Released<GPPortInfoList, gp_port_info_list_free>>;
using List = std::unique_ptr<CameraList, Released<CameraList, gp_list_free>>;
using Widget = std::unique_ptr<CameraWidget, Released<CameraWidget, gp_widget_free>>;
using File = std::unique_ptr<CameraFile, Released<CameraFile, gp_file_free>>;

Ports ports() {
  GPPortInfoList* list = nullptr;
  must(gp_port_info_list_new(&list));
  Ports owned{list};
  must(gp_port_info_list_load(list));
  return owned;
}

List new_list() {
  CameraList* list = nullptr;
  must(gp_list_new(&list));
  return List{list};
}

Widget widget_of(Camera* camera, const std::string& name, GPContext* context) {
  CameraWidget* widget = nullptr;  // it may stay unset although all is said to be well
  const int result = gp_camera_get_single_config(camera, name.c_str(), &widget, context);
  Widget owned{widget};
  REQUIRE_MESSAGE((result == GP_OK && widget != nullptr), name << ": " << gp_result_as_string(result));
  return owned;
}

std::vector<std::string> names(const CameraList& list) {
  std::vector<std::string> all;
  for (int n = 0; n < gp_list_count(const_cast<CameraList*>(&list)); ++n) {
    const char* name = nullptr;
    gp_list_get_name(const_cast<CameraList*>(&list), n, &name);
    all.emplace_back(name);
  }
  return all;
}

void set_driver(std::string setting, std::string value) {
  char driver[] = "ptp2";
  gp_setting_set(driver, setting.data(), value.data());
}

void note_error(GPContext* /*context*/, const char* text, void* errors) {
  *static_cast<std::string*>(errors) += std::string{text} + "\n";
}

}  // namespace

std::vector<Found> detect() {
  const auto all_ports = ports();
  const auto list = new_list();
  GPContext* context = gp_context_new();
  must(gp_abilities_list_detect(drivers(), all_ports.get(), list.get(), context));
  gp_context_unref(context);
  std::vector<Found> found;
  for (int n = 0; n < gp_list_count(list.get()); ++n) {
    const char* model = nullptr;
    const char* path = nullptr;
    gp_list_get_name(list.get(), n, &model);
    gp_list_get_value(list.get(), n, &path);
    found.push_back({model, path});
  }
  return found;
}

Impatience::Impatience() {
  set_driver("normal_timeout", "500");
}

Impatience::~Impatience() {
  set_driver("normal_timeout", "20000");
}

HostCamera::HostCamera() : context_{gp_context_new()} {
  gp_context_set_error_func(context_, note_error, errors_.get());
}

HostCamera::~HostCamera() {
  close();
  gp_context_unref(context_);
}

int HostCamera::open(const Found& found) {
  close();
  must(gp_camera_new(&camera_));
  CameraAbilities abilities{};
  must(gp_abilities_list_get_abilities(
      drivers(), gp_abilities_list_lookup_model(drivers(), found.model.c_str()), &abilities));
  must(gp_camera_set_abilities(camera_, abilities));
  const auto all_ports = ports();
  GPPortInfo info{};
  must(gp_port_info_list_get_info(all_ports.get(),
                                  gp_port_info_list_lookup_path(all_ports.get(), found.path.c_str()), &info));
  must(gp_camera_set_port_info(camera_, info));
  const int result = gp_camera_init(camera_, context_);
  open_ = result == GP_OK;
  return result;
}

void HostCamera::open_only() {
  const auto found = detect();
  REQUIRE(found.size() == 1);
  REQUIRE(open(found.front()) == GP_OK);
}

int HostCamera::close() {
  if (camera_ == nullptr) return GP_OK;
  const int result = open_ ? gp_camera_exit(camera_, context_) : GP_OK;
  gp_camera_unref(camera_);
  camera_ = nullptr;
  open_ = false;
  return result;
}

std::vector<std::string> HostCamera::choices(const std::string& name) const {
  const auto widget = widget_of(camera_, name, context_);
  std::vector<std::string> all;
  for (int n = 0; n < gp_widget_count_choices(widget.get()); ++n) {
    const char* choice = nullptr;
    gp_widget_get_choice(widget.get(), n, &choice);
    all.emplace_back(choice);
  }
  return all;
}

std::string HostCamera::value(const std::string& name) const {
  const auto widget = widget_of(camera_, name, context_);
  const char* text = nullptr;
  must(gp_widget_get_value(widget.get(), &text));
  return text;
}

bool HostCamera::is_read_only(const std::string& name) const {
  const auto widget = widget_of(camera_, name, context_);
  int read_only = 0;
  gp_widget_get_readonly(widget.get(), &read_only);
  return read_only != 0;
}

bool HostCamera::has(const std::string& name) const {
  CameraWidget* widget = nullptr;
  const int result = gp_camera_get_single_config(camera_, name.c_str(), &widget, context_);
  const Widget owned{widget};
  return result == GP_OK && widget != nullptr;
}

int HostCamera::turn(const std::string& name, bool on) {
  const auto widget = widget_of(camera_, name, context_);
  const int state = on ? 1 : 0;
  must(gp_widget_set_value(widget.get(), &state));
  return gp_camera_set_single_config(camera_, name.c_str(), widget.get(), context_);
}

int HostCamera::set(const std::string& name, const std::string& value) {
  const auto widget = widget_of(camera_, name, context_);
  CameraWidgetType type{};
  gp_widget_get_type(widget.get(), &type);
  if (type == GP_WIDGET_RANGE) {
    const float number = std::stof(value);
    must(gp_widget_set_value(widget.get(), &number));
  } else {
    must(gp_widget_set_value(widget.get(), value.c_str()));
  }
  return gp_camera_set_single_config(camera_, name.c_str(), widget.get(), context_);
}

void HostCamera::settle(const std::string& name, const std::string& wanted) {
  CAPTURE(name);
  REQUIRE(set(name, wanted) == GP_OK);
  const auto give_up = std::chrono::steady_clock::now() + patience;
  while (value(name) != wanted && std::chrono::steady_clock::now() < give_up) (void)event();
  CHECK(value(name) == wanted);
}

void HostCamera::shoot() {
  when_free([&] { return trigger(); });
}

void HostCamera::press_when_free(const std::string& name, const std::string& value) {
  when_free([&] { return set(name, value); });
}

void HostCamera::when_free(const std::function<int()>& act) {
  const auto give_up = std::chrono::steady_clock::now() + patience;
  int result = act();
  while (result == GP_ERROR_CAMERA_BUSY && std::chrono::steady_clock::now() < give_up) {
    (void)event();
    result = act();
  }
  REQUIRE(result == GP_OK);
}

int HostCamera::trigger() {
  return gp_camera_trigger_capture(camera_, context_);
}

HostEvent HostCamera::event(int patience_ms) {
  HostEvent event;
  void* data = nullptr;
  const int result = gp_camera_wait_for_event(camera_, patience_ms, &event.type, &data, context_);
  if (result < GP_OK) {
    event = {GP_EVENT_UNKNOWN, gp_result_as_string(result)};
  } else if (data != nullptr && (event.type == GP_EVENT_FILE_ADDED || event.type == GP_EVENT_FOLDER_ADDED)) {
    const auto* path = static_cast<const CameraFilePath*>(data);
    event.text = std::string{path->folder} + "/" + path->name;
  } else if (data != nullptr && event.type == GP_EVENT_UNKNOWN) {
    event.text = static_cast<const char*>(data);
  }
  std::free(data);
  return event;
}

std::vector<HostEvent> HostCamera::events_until(const std::function<bool(const HostEvent&)>& wanted) {
  std::vector<HostEvent> all;
  const auto give_up = std::chrono::steady_clock::now() + patience;
  while (std::chrono::steady_clock::now() < give_up) {
    auto next = event();
    if (next.type == GP_EVENT_TIMEOUT) continue;
    all.push_back(std::move(next));
    if (wanted(all.back())) return all;
  }
  FAIL("the event never came");
  return all;
}

std::vector<std::string> HostCamera::files(std::size_t count) {
  std::vector<std::string> names;
  (void)events_until([&](const HostEvent& each) {
    if (each.type == GP_EVENT_FILE_ADDED) names.push_back(each.text);
    return names.size() == count;
  });
  return names;
}

std::vector<HostEvent> HostCamera::events_within(std::chrono::milliseconds span) {
  std::vector<HostEvent> all;
  const auto until = std::chrono::steady_clock::now() + span;
  while (std::chrono::steady_clock::now() < until) {
    if (auto next = event(); next.type != GP_EVENT_TIMEOUT) all.push_back(std::move(next));
  }
  return all;
}

std::vector<std::string> HostCamera::listing(const std::string& folder) {
  std::vector<std::string> all;
  const auto files_here = new_list();
  must(gp_camera_folder_list_files(camera_, folder.c_str(), files_here.get(), context_));
  const std::string prefix = folder == "/" ? "/" : folder + "/";
  for (const auto& name : names(*files_here)) all.push_back(prefix + name);
  const auto folders = new_list();
  must(gp_camera_folder_list_folders(camera_, folder.c_str(), folders.get(), context_));
  for (const auto& name : names(*folders)) {
    for (auto& file : listing(prefix + name)) all.push_back(std::move(file));
  }
  return all;
}

HostCamera::Room HostCamera::room() {
  CameraStorageInformation* stores = nullptr;
  int count = 0;
  Room room;
  room.result = gp_camera_get_storageinfo(camera_, &stores, &count, context_);
  if (room.result == GP_OK && count > 0) {
    room.kilobytes = stores->freekbytes;
    room.pictures = stores->freeimages;
  }
  std::free(stores);
  return room;
}

int HostCamera::erase(const std::string& folder, const std::string& name) {
  return gp_camera_file_delete(camera_, folder.c_str(), name.c_str(), context_);
}

std::string HostCamera::content(const std::string& folder, const std::string& name) {
  CameraFile* file = nullptr;
  must(gp_file_new(&file));
  const File owned{file};
  if (gp_camera_file_get(camera_, folder.c_str(), name.c_str(), GP_FILE_TYPE_NORMAL, file, context_) != GP_OK)
    return {};
  const char* data = nullptr;
  unsigned long size = 0;
  must(gp_file_get_data_and_size(file, &data, &size));
  return {data, size};
}

}  // namespace noonfall::tests
