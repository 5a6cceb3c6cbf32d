// What differs from one family of bodies to the next: properties, vendor operations, and how a body tells its
// news.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "sim/wire/property_sheet.h"
#include "sim/wire/ptp_container.h"
#include "sim/wire/ptp_datasets.h"
#include "sim/wire/tethered_camera.h"

namespace noonfall::wire {

struct Request {
  std::uint16_t code = 0;
  std::vector<std::uint32_t> parameters;
  Bytes data;  // what the host sent along

  /// Those not sent are zero.
  [[nodiscard]] std::uint32_t parameter(std::size_t n) const {
    return n < parameters.size() ? parameters[n] : 0;
  }
};

struct Reply {
  std::uint16_t response = 0;
  std::vector<std::uint32_t> parameters;
  std::optional<Bytes> data;
  Utc at;  // Utc::max(): never
  std::optional<Damaged> damage{};
};

/// What can be set on a body beside its exposure.
struct Panel {
  enum class Program { manual, automatic };
  Program program = Program::manual;
  enum class Focus { manual, automatic };
  Focus focus = Focus::manual;
  bool focus_fails = false;
  std::optional<int> battery_percent;  // shown instead of the real one
  Destination destination = Destination::card;
  std::uint16_t burst = 1;
  std::optional<FalseWords::About> false_choices;
  Duration clock_error{};  // the body's own clock minus UTC
};

/// Camera and panel are those of the body the dialect speaks for, and outlive it.
class Dialect {
 public:
  virtual ~Dialect() = default;

  /// Adds what this family has: extension, operations, events, properties.
  virtual void describe(DeviceInfo& info) const = 0;
  [[nodiscard]] virtual const PropertySheet& properties() const = 0;
  /// Empty for an operation this family doesn't have.
  [[nodiscard]] virtual std::optional<Reply> answer(const Request& request, Utc now) = 0;
  /// For the interrupt pipe; empty when nothing is due there.
  [[nodiscard]] virtual std::optional<Container> event(Utc now) = 0;
};

[[nodiscard]] Reply plain(std::uint16_t response, Utc now);
[[nodiscard]] Reply with_data(Bytes data, Utc now);
/// What a release or a setting came to: at once, whenever the body will be free again.
[[nodiscard]] Reply reply_to(const CameraAnswer& answer, Utc now);

[[nodiscard]] std::unique_ptr<Dialect> generic_dialect(TetheredCamera& camera, Panel& panel);
[[nodiscard]] std::unique_ptr<Dialect> family_a(TetheredCamera& camera, Panel& panel);
[[nodiscard]] std::unique_ptr<Dialect> family_b(TetheredCamera& camera, Panel& panel);

}  // namespace noonfall::wire
