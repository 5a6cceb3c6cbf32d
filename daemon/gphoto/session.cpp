#include "daemon/gphoto/session.h"

#include <cstdlib>
#include <utility>

#include <fmt/format.h>

namespace noonfall::gphoto {
namespace {

constexpr int deepest_folder = 8;

std::string text_of(CameraWidget* widget, CameraWidgetType type) {
  if (type == GP_WIDGET_RANGE) {
    float number = 0;
    gp_widget_get_value(widget, &number);
    return fmt::format("{:g}", number);
  }
  if (type == GP_WIDGET_DATE || type == GP_WIDGET_TOGGLE) {
    int number = 0;
    gp_widget_get_value(widget, &number);
    return fmt::format("{}", number);
  }
  const char* text = nullptr;
  if (type == GP_WIDGET_TEXT || type == GP_WIDGET_RADIO || type == GP_WIDGET_MENU)
    gp_widget_get_value(widget, &text);
  return text == nullptr ? std::string{} : text;
}

int put(CameraWidget* widget, CameraWidgetType type, const std::string& label) {
  if (type == GP_WIDGET_RANGE) {
    const float number = std::strtof(label.c_str(), nullptr);
    return gp_widget_set_value(widget, &number);
  }
  if (type == GP_WIDGET_DATE || type == GP_WIDGET_TOGGLE) {
    const int number = std::atoi(label.c_str());
    return gp_widget_set_value(widget, &number);
  }
  return gp_widget_set_value(widget, label.c_str());
}

CameraWidgetType type_of(CameraWidget* widget) {
  CameraWidgetType type{};
  gp_widget_get_type(widget, &type);
  return type;
}

News read_news(CameraEventType type, const void* data) {
  switch (type) {
    case GP_EVENT_TIMEOUT:
      return {};
    case GP_EVENT_FILE_ADDED: {
      if (data == nullptr) return {News::Kind::other, {}};
      const auto* path = static_cast<const CameraFilePath*>(data);
      return {News::Kind::file, std::string{path->folder} + "/" + path->name};
    }
    case GP_EVENT_CAPTURE_COMPLETE:
      return {News::Kind::complete, {}};
    case GP_EVENT_UNKNOWN:
      return {News::Kind::other, data == nullptr ? std::string{} : static_cast<const char*>(data)};
    default:
      return {News::Kind::other, {}};
  }
}

struct FreeList {
  void operator()(CameraList* list) const { gp_list_free(list); }
};

std::vector<std::string> names_in(CameraList* list) {
  std::vector<std::string> names;
  for (int n = 0; n < gp_list_count(list); ++n) {
    const char* name = nullptr;
    if (gp_list_get_name(list, n, &name) >= GP_OK && name != nullptr) names.emplace_back(name);
  }
  return names;
}

}  // namespace

void Session::Close::operator()(Camera* camera) const {
  gp_camera_exit(camera, context->get());
  gp_camera_unref(camera);
}

Session::Session(Camera* camera, std::shared_ptr<Context> context)
    : context_{std::move(context)}, camera_{camera, Close{context_}} {}

Tried<Session> Session::open(Library& library, const Found& found) {
  auto camera = library.camera_at(found);
  if (!camera) return tl::unexpected{camera.error()};
  auto context = std::make_shared<Context>();
  const int code = gp_camera_init(*camera, context->get());
  if (code >= GP_OK) return Session{*camera, std::move(context)};
  const auto error = context->error(code);
  gp_camera_unref(*camera);
  return tl::unexpected{error};
}

Tried<void> Session::done(int code) const {
  if (code >= GP_OK) return {};
  return tl::unexpected{context_->error(code)};
}

Tried<Session::Widget> Session::widget(const std::string& name) {
  context_->forget_errors();
  CameraWidget* made = nullptr;  // it may stay unset although all is said to be well
  const int code = gp_camera_get_single_config(camera_.get(), name.c_str(), &made, context_->get());
  Widget widget{made};
  if (code < GP_OK) return tl::unexpected{context_->error(code)};
  if (!widget) return tl::unexpected{DriverError{result::unsupported, "no " + name}};
  return widget;
}

Tried<Control> Session::control(const std::string& name) {
  auto found = widget(name);
  if (!found) return tl::unexpected{found.error()};
  auto* it = found->get();
  Control control{name, text_of(it, type_of(it)), {}, false};
  const auto type = type_of(it);
  const bool has_choices = type == GP_WIDGET_RADIO || type == GP_WIDGET_MENU;
  for (int n = 0; has_choices && n < gp_widget_count_choices(it); ++n) {
    const char* choice = nullptr;
    if (gp_widget_get_choice(it, n, &choice) >= GP_OK && choice != nullptr)
      control.choices.emplace_back(choice);
  }
  int read_only = 0;
  gp_widget_get_readonly(it, &read_only);
  control.read_only = read_only != 0;
  kept_[name] = std::move(*found);
  return control;
}

std::optional<Control> Session::first_of(const std::vector<std::string>& names) {
  for (const auto& name : names) {
    if (auto found = control(name)) return std::move(*found);
  }
  return std::nullopt;
}

Tried<void> Session::set(const std::string& name, const std::string& label) {
  if (!kept_.contains(name)) {
    auto found = widget(name);
    if (!found) return tl::unexpected{found.error()};
    kept_[name] = std::move(*found);
  }
  auto* it = kept_[name].get();
  context_->forget_errors();
  if (const int code = put(it, type_of(it), label); code < GP_OK) return done(code);
  gp_widget_set_changed(it, 1);
  return done(gp_camera_set_single_config(camera_.get(), name.c_str(), it, context_->get()));
}

Tried<void> Session::trigger() {
  context_->forget_errors();
  return done(gp_camera_trigger_capture(camera_.get(), context_->get()));
}

Tried<News> Session::news(int wait_ms) {
  context_->forget_errors();
  CameraEventType type = GP_EVENT_TIMEOUT;
  void* data = nullptr;
  const int code = gp_camera_wait_for_event(camera_.get(), wait_ms, &type, &data, context_->get());
  if (code < GP_OK) {
    std::free(data);
    return tl::unexpected{context_->error(code)};
  }
  auto news = read_news(type, data);
  std::free(data);
  return news;
}

Tried<Room> Session::room() {
  context_->forget_errors();
  CameraStorageInformation* stores = nullptr;
  int count = 0;
  const int code = gp_camera_get_storageinfo(camera_.get(), &stores, &count, context_->get());
  if (code < GP_OK) {
    std::free(stores);
    return tl::unexpected{context_->error(code)};
  }
  Room room;
  for (int n = 0; stores != nullptr && n < count; ++n) {
    if ((stores[n].fields & GP_STORAGEINFO_FREESPACEKBYTES) != 0) room.kilobytes += stores[n].freekbytes;
    if ((stores[n].fields & GP_STORAGEINFO_FREESPACEIMAGES) != 0) room.pictures += stores[n].freeimages;
  }
  std::free(stores);
  return room;
}

Tried<std::vector<std::string>> Session::files() {
  std::vector<std::string> files;
  if (auto listed = list_into("/", files, 0); !listed) return tl::unexpected{listed.error()};
  return files;
}

Tried<void> Session::list_into(const std::string& folder, std::vector<std::string>& files, int depth) {
  if (depth > deepest_folder) return {};
  CameraList* made = nullptr;
  if (const int code = gp_list_new(&made); code < GP_OK) return done(code);
  const std::unique_ptr<CameraList, FreeList> list{made};
  context_->forget_errors();
  int code = gp_camera_folder_list_files(camera_.get(), folder.c_str(), made, context_->get());
  if (code < GP_OK) return done(code);
  const auto prefix = folder == "/" ? folder : folder + "/";
  for (const auto& name : names_in(made)) files.push_back(prefix + name);
  gp_list_reset(made);
  code = gp_camera_folder_list_folders(camera_.get(), folder.c_str(), made, context_->get());
  if (code < GP_OK) return done(code);
  for (const auto& name : names_in(made)) {
    if (auto listed = list_into(prefix + name, files, depth + 1); !listed) return listed;
  }
  return {};
}

}  // namespace noonfall::gphoto
