// One camera through the real library, with what tests ask of it.
#pragma once

#include <chrono>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <gphoto2/gphoto2.h>

namespace noonfall::tests {

struct Found {
  std::string model;
  std::string path;
  bool operator==(const Found&) const = default;
};
/// What the library detects now, in its order.
[[nodiscard]] std::vector<Found> detect();

/// While it lives, the library waits 0.5 s for an answer, not 20 s: for cameras opened meanwhile.
class Impatience {
 public:
  Impatience();
  ~Impatience();
  Impatience(const Impatience&) = delete;
  Impatience& operator=(const Impatience&) = delete;
};

struct HostEvent {
  CameraEventType type = GP_EVENT_TIMEOUT;
  std::string text;  // "/folder/name" of a file, the words of an unknown one
};

class HostCamera {
 public:
  HostCamera();
  HostCamera(const HostCamera&) = delete;
  HostCamera& operator=(const HostCamera&) = delete;
  ~HostCamera();

  /// Result codes are the library's.
  [[nodiscard]] int open(const Found& found);
  /// The only one there is.
  void open_only();
  int close();

  [[nodiscard]] std::vector<std::string> choices(const std::string& name) const;
  [[nodiscard]] std::string value(const std::string& name) const;
  [[nodiscard]] bool is_read_only(const std::string& name) const;
  [[nodiscard]] bool has(const std::string& name) const;
  /// A switch.
  [[nodiscard]] int turn(const std::string& name, bool on);
  [[nodiscard]] int set(const std::string& name, const std::string& value);
  /// Sets it and reads it back until it is so.
  void settle(const std::string& name, const std::string& value);

  [[nodiscard]] int trigger();
  /// Triggers again and again while the body is busy, as with a setting that it hasn't taken yet.
  void shoot();
  /// Sets it again and again while the body is busy.
  void press_when_free(const std::string& name, const std::string& value);
  [[nodiscard]] HostEvent event(int patience_ms = 5);
  /// Events until one is wanted, that one the last; the test fails when none comes.
  std::vector<HostEvent> events_until(const std::function<bool(const HostEvent&)>& wanted);
  /// Files announced until there are this many.
  std::vector<std::string> files(std::size_t count);
  /// All events that come within this time, whatever comes.
  std::vector<HostEvent> events_within(std::chrono::milliseconds span);

  /// Every file below the folder, by its whole path.
  [[nodiscard]] std::vector<std::string> listing(const std::string& folder = "/");
  /// Kilobytes and pictures left on its first store; the result code when it fails.
  struct Room {
    int result = 0;
    std::uint64_t kilobytes = 0;
    std::uint64_t pictures = 0;
  };
  [[nodiscard]] Room room();
  int erase(const std::string& folder, const std::string& name);
  /// The bytes of a file; empty when the library has none.
  [[nodiscard]] std::string content(const std::string& folder, const std::string& name);

  /// What the library said went wrong, since the last call.
  [[nodiscard]] std::string errors() const { return std::exchange(*errors_, {}); }

 private:
  void when_free(const std::function<int()>& act);

  Camera* camera_ = nullptr;
  GPContext* context_ = nullptr;
  std::unique_ptr<std::string> errors_ = std::make_unique<std::string>();
  bool open_ = false;
};

}  // namespace noonfall::tests
