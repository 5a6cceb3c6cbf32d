// The narrow part of the camera library that a cabled camera stands on: the bodies on the cables, and of an
// open one its controls by name, its shutter, its news and its cards. library.h has the real one.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/gphoto/driver_error.h"
#include "lib/time/utc.h"

namespace noonfall::gphoto {

/// What a body said of itself when it was opened, as the driver took it.
struct About {
  std::uint32_t extension = 0;  // PTP's vendor extension, or the number the driver has in its place
  std::string maker = {};
  std::string model = {};
  std::set<std::uint16_t> operations = {};  // advertised
  std::string driver = {};                  // the library's version, "2.5.30"

  [[nodiscard]] bool offers(std::uint16_t operation) const { return operations.contains(operation); }
};

/// Takes the driver's debug lines of opening a body one by one: the only place where it tells what the body
/// advertises. Of several descriptions the last is in force.
void read_debug_line(std::string_view line, About& about, bool& among_operations);

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

/// One card, or another place for pictures.
struct Store {
  std::uint64_t free_kilobytes = 0;
  std::uint64_t kilobytes = 0;
  bool read_only = false;
};

/// One open body, for one thread. Each call is bounded by the driver's limits. Closed when destroyed.
class Session {
 public:
  virtual ~Session() = default;

  [[nodiscard]] virtual const About& about() const = 0;
  /// From now on no transaction is waited for longer. Generous at opening.
  virtual void answer_within(Duration limit) = 0;

  [[nodiscard]] virtual Tried<Control> control(const std::string& name) = 0;
  /// Sends this label exactly, whether it is offered or not.
  [[nodiscard]] virtual Tried<void> set(const std::string& name, const std::string& label) = 0;
  /// The driver's own way to release, with whatever it finds needful before.
  [[nodiscard]] virtual Tried<void> trigger() = 0;
  /// The next thing told, waiting for it for about so long.
  [[nodiscard]] virtual Tried<News> news(int wait_ms) = 0;
  /// What lies in the body now: none without a card. The one call that fails truly when the body is gone.
  [[nodiscard]] virtual Tried<std::vector<Store>> stores() = 0;
  [[nodiscard]] virtual Tried<std::uint64_t> file_bytes(const std::string& path) = 0;
  /// The whole of a file; of one that is on no card what the driver has downloaded already.
  [[nodiscard]] virtual Tried<std::string> fetch(const std::string& path) = 0;
  /// The body's own small picture of a file: a JPEG.
  [[nodiscard]] virtual Tried<std::string> preview(const std::string& path) = 0;
  /// Off the body. Only for what was fetched and lies in its memory.
  [[nodiscard]] virtual Tried<void> drop(const std::string& path) = 0;
  /// Every file, by its whole path: on a full card that takes seconds.
  [[nodiscard]] virtual Tried<std::vector<std::string>> files() = 0;

  /// The first of these that the body has.
  [[nodiscard]] std::optional<Control> first_of(const std::vector<std::string>& names) {
    for (const auto& name : names) {
      if (auto found = control(name)) return std::move(*found);
    }
    return std::nullopt;
  }
};

/// A body as the library lists it: where it is now, not who it is.
struct ListedBody {
  std::string model;
  std::string path;  // "usb:001,004", or "ptpip:…"
  bool operator==(const ListedBody&) const = default;
};

class Cables {
 public:
  virtual ~Cables() = default;
  /// Looks anew each time: a body that came back stands at another address.
  [[nodiscard]] virtual Tried<std::vector<ListedBody>> detect() = 0;
  [[nodiscard]] virtual Tried<std::unique_ptr<Session>> open(const ListedBody& found) = 0;
  /// As if the cable had been pulled for a moment; no session may be open there.
  virtual void reset_port(const ListedBody& found) = 0;
};

}  // namespace noonfall::gphoto
