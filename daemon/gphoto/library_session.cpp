#include "daemon/gphoto/library_session.h"

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <map>
#include <new>
#include <utility>

#include <fmt/format.h>
#include <gphoto2/gphoto2-version.h>

namespace noonfall::gphoto {
namespace {

constexpr int deepest_folder = 8;

CameraWidgetType type_of(CameraWidget* widget) {
  CameraWidgetType type{};
  gp_widget_get_type(widget, &type);
  return type;
}

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

std::vector<std::string> choices_of(CameraWidget* widget, CameraWidgetType type) {
  std::vector<std::string> choices;
  const bool has_choices = type == GP_WIDGET_RADIO || type == GP_WIDGET_MENU;
  for (int n = 0; has_choices && n < gp_widget_count_choices(widget); ++n) {
    const char* choice = nullptr;
    if (gp_widget_get_choice(widget, n, &choice) >= GP_OK && choice != nullptr) choices.emplace_back(choice);
  }
  return choices;
}

News read_news(CameraEventType type, const void* data) {
  if (type == GP_EVENT_TIMEOUT) return {};
  if (type == GP_EVENT_CAPTURE_COMPLETE) return {News::Kind::complete, {}};
  if (type == GP_EVENT_FILE_ADDED && data != nullptr) {
    const auto* path = static_cast<const CameraFilePath*>(data);
    return {News::Kind::file, std::string{path->folder} + "/" + path->name};
  }
  const bool has_words = type == GP_EVENT_UNKNOWN && data != nullptr;
  return {News::Kind::other, has_words ? static_cast<const char*>(data) : std::string{}};
}

/// The folder, "/" for the topmost, and the name.
std::pair<std::string, std::string> parts_of(const std::string& path) {
  const auto slash = path.rfind('/');
  if (slash == std::string::npos) return {"/", path};
  return {path.substr(0, std::max<std::size_t>(slash, 1)), path.substr(slash + 1)};
}

std::vector<std::string> names_in(CameraList* list) {
  std::vector<std::string> names;
  for (int n = 0; n < gp_list_count(list); ++n) {
    const char* name = nullptr;
    if (gp_list_get_name(list, n, &name) >= GP_OK && name != nullptr) names.emplace_back(name);
  }
  return names;
}

class LibrarySession final : public Session {
 public:
  explicit LibrarySession(Camera* camera) : camera_{camera} {}
  ~LibrarySession() override {
    if (open_) gp_camera_exit(camera_, context_.get());
    gp_camera_unref(camera_);
  }
  LibrarySession(const LibrarySession&) = delete;
  LibrarySession& operator=(const LibrarySession&) = delete;

  [[nodiscard]] Tried<void> open() {
    const Listening listening{about_};
    about_.driver = gp_library_version(GP_VERSION_SHORT)[0];
    auto opened = context_.done(gp_camera_init(camera_, context_.fresh()));
    open_ = opened.has_value();
    return opened;
  }

  [[nodiscard]] const About& about() const override { return about_; }
  void answer_within(Duration limit) override {
    const auto limit_ms = std::chrono::duration_cast<std::chrono::milliseconds>(limit).count();
    gp_port_set_timeout(camera_->port, static_cast<int>(limit_ms));
  }

  Tried<Control> control(const std::string& name) override {
    auto found = widget(name);
    if (!found) return tl::unexpected{found.error()};
    auto* it = found->get();
    const auto type = type_of(it);
    int read_only = 0;
    gp_widget_get_readonly(it, &read_only);
    Control control{name, text_of(it, type), choices_of(it, type), read_only != 0};
    kept_[name] = std::move(*found);
    return control;
  }

  Tried<void> set(const std::string& name, const std::string& label) override {
    if (!kept_.contains(name)) {
      auto found = widget(name);
      if (!found) return tl::unexpected{found.error()};
      kept_[name] = std::move(*found);
    }
    auto* it = kept_[name].get();
    auto* context = context_.fresh();
    if (const int code = put(it, type_of(it), label); code < GP_OK) return context_.done(code);
    gp_widget_set_changed(it, 1);
    return context_.done(gp_camera_set_single_config(camera_, name.c_str(), it, context));
  }

  Tried<void> trigger() override {
    return context_.done(gp_camera_trigger_capture(camera_, context_.fresh()));
  }

  Tried<News> news(int wait_ms) override {
    CameraEventType type = GP_EVENT_TIMEOUT;
    void* made = nullptr;
    const auto done =
        context_.done(gp_camera_wait_for_event(camera_, wait_ms, &type, &made, context_.fresh()));
    const std::unique_ptr<void, decltype(&std::free)> data{made, &std::free};
    if (!done) return tl::unexpected{done.error()};
    return read_news(type, made);
  }

  Tried<std::vector<Store>> stores() override {
    CameraStorageInformation* made = nullptr;
    int count = 0;
    const auto done = context_.done(gp_camera_get_storageinfo(camera_, &made, &count, context_.fresh()));
    const std::unique_ptr<CameraStorageInformation[], decltype(&std::free)> list{made, &std::free};
    if (!done) return tl::unexpected{done.error()};
    std::vector<Store> stores;
    for (int n = 0; list && n < count; ++n) {
      const auto& each = list[static_cast<std::size_t>(n)];
      const auto known = [&](int field, std::uint64_t value) {
        return (each.fields & field) != 0 ? value : 0;
      };
      // "Read-only with object deletion" is how many bodies show a card they write to themselves.
      const bool read_only =
          (each.fields & GP_STORAGEINFO_ACCESS) != 0 && each.access == GP_STORAGEINFO_AC_READONLY;
      stores.push_back({known(GP_STORAGEINFO_FREESPACEKBYTES, each.freekbytes),
                        known(GP_STORAGEINFO_MAXCAPACITY, each.capacitykbytes), read_only});
    }
    return stores;
  }

  Tried<std::uint64_t> file_bytes(const std::string& path) override {
    const auto [folder, name] = parts_of(path);
    CameraFileInfo info{};
    const auto done = context_.done(
        gp_camera_file_get_info(camera_, folder.c_str(), name.c_str(), &info, context_.fresh()));
    if (!done) return tl::unexpected{done.error()};
    return info.file.size;
  }

  Tried<std::string> fetch(const std::string& path) override { return get(path, GP_FILE_TYPE_NORMAL); }
  Tried<std::string> preview(const std::string& path) override { return get(path, GP_FILE_TYPE_PREVIEW); }

  Tried<void> drop(const std::string& path) override {
    const auto [folder, name] = parts_of(path);
    return context_.done(gp_camera_file_delete(camera_, folder.c_str(), name.c_str(), context_.fresh()));
  }

  Tried<std::vector<std::string>> files() override {
    std::vector<std::string> files;
    if (auto listed = list_into("/", files, 0); !listed) return tl::unexpected{listed.error()};
    return files;
  }

 private:
  [[nodiscard]] Tried<std::string> get(const std::string& path, CameraFileType type) {
    const auto [folder, name] = parts_of(path);
    CameraFile* made = nullptr;
    if (const int code = gp_file_new(&made); code < GP_OK) return tl::unexpected{DriverError{code, {}}};
    const std::unique_ptr<CameraFile, int (*)(CameraFile*)> file{made, &gp_file_unref};
    const auto done = context_.done(
        gp_camera_file_get(camera_, folder.c_str(), name.c_str(), type, made, context_.fresh()));
    if (!done) return tl::unexpected{done.error()};
    const char* bytes = nullptr;
    unsigned long size = 0;
    if (const int code = gp_file_get_data_and_size(made, &bytes, &size); code < GP_OK)
      return tl::unexpected{DriverError{code, {}}};
    return bytes == nullptr ? std::string{} : std::string{bytes, size};
  }

  struct FreeWidget {
    void operator()(CameraWidget* widget) const { gp_widget_free(widget); }
  };
  using Widget = std::unique_ptr<CameraWidget, FreeWidget>;

  [[nodiscard]] Tried<Widget> widget(const std::string& name) {
    CameraWidget* made = nullptr;  // it may stay unset although all is said to be well
    const auto done =
        context_.done(gp_camera_get_single_config(camera_, name.c_str(), &made, context_.fresh()));
    Widget widget{made};
    if (!done) return tl::unexpected{done.error()};
    if (!widget) return tl::unexpected{DriverError{result::unsupported, "no " + name}};
    return widget;
  }

  [[nodiscard]] Tried<void> list_into(const std::string& folder, std::vector<std::string>& files, int depth) {
    if (depth > deepest_folder) return {};
    const auto list = new_list();
    auto* context = context_.fresh();
    auto listed = context_.done(gp_camera_folder_list_files(camera_, folder.c_str(), list.get(), context));
    if (!listed) return listed;
    const auto prefix = folder == "/" ? folder : folder + "/";
    for (const auto& name : names_in(list.get())) files.push_back(prefix + name);
    gp_list_reset(list.get());
    listed = context_.done(gp_camera_folder_list_folders(camera_, folder.c_str(), list.get(), context));
    for (const auto& name : names_in(list.get())) {
      if (listed) listed = list_into(prefix + name, files, depth + 1);
    }
    return listed;
  }

  Context context_;
  Camera* camera_;
  About about_;
  bool open_ = false;
  std::map<std::string, Widget> kept_;  // to set without asking first
};

}  // namespace

Tried<std::unique_ptr<Session>> open_session(Camera* camera) {
  auto session = std::make_unique<LibrarySession>(camera);
  if (auto opened = session->open(); !opened) return tl::unexpected{opened.error()};
  return session;
}

}  // namespace noonfall::gphoto
