// One open body: its controls by name, its shutter, its news, its card. Each call is bounded by the driver's
// limits (library.cpp).
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <gphoto2/gphoto2.h>

#include "daemon/gphoto/context.h"
#include "daemon/gphoto/library.h"

namespace noonfall::gphoto {

/// One setting as the body offers it now. Labels are the driver's.
struct Control {
  std::string name;
  std::string label;                 // the present one; of a number or a date, its digits
  std::vector<std::string> choices;  // empty for a number or a text
  bool read_only = false;
};

/// Something the body told by itself.
struct News {
  enum class Kind { nothing, file, complete, other };
  Kind kind = Kind::nothing;
  std::string text;  // a file's path, or the driver's words
};

struct Room {
  std::uint64_t kilobytes = 0;
  std::uint64_t pictures = 0;
};

/// One card, or another place for pictures.
struct Store {
  std::uint64_t free_kilobytes = 0;
  std::uint64_t kilobytes = 0;
  bool read_only = false;
};

/// For one thread. Closed when destroyed.
class Session {
 public:
  [[nodiscard]] static Tried<Session> open(Library& library, const Found& found);

  [[nodiscard]] Tried<Control> control(const std::string& name);
  /// The first of these that the body has.
  [[nodiscard]] std::optional<Control> first_of(const std::vector<std::string>& names);
  /// Sends this label exactly, whether it is offered or not.
  [[nodiscard]] Tried<void> set(const std::string& name, const std::string& label);

  /// The driver's own way to release, with whatever it finds needful before.
  [[nodiscard]] Tried<void> trigger();
  /// The next thing told, waiting for it for about so long.
  [[nodiscard]] Tried<News> news(int wait_ms);
  /// Of all cards together. The one call that fails truly when the body is gone.
  [[nodiscard]] Tried<Room> room();
  /// What lies in the body now: none without a card.
  [[nodiscard]] Tried<std::vector<Store>> stores();
  [[nodiscard]] Tried<std::uint64_t> file_bytes(const std::string& path);
  /// Every file, by its whole path: on a full card that takes seconds.
  [[nodiscard]] Tried<std::vector<std::string>> files();

 private:
  struct Close {
    std::shared_ptr<Context> context;
    void operator()(Camera* camera) const;
  };
  struct FreeWidget {
    void operator()(CameraWidget* widget) const { gp_widget_free(widget); }
  };
  using Widget = std::unique_ptr<CameraWidget, FreeWidget>;

  explicit Session(Camera* camera, std::shared_ptr<Context> context);
  [[nodiscard]] Tried<Widget> widget(const std::string& name);
  [[nodiscard]] Tried<void> done(int code) const;
  [[nodiscard]] Tried<void> list_into(const std::string& folder, std::vector<std::string>& files, int depth);

  std::shared_ptr<Context> context_;
  std::unique_ptr<Camera, Close> camera_;
  std::map<std::string, Widget> kept_;  // to set without asking first
};

}  // namespace noonfall::gphoto
