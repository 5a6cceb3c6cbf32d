// What differs from one family of bodies to the next: properties, vendor operations, and how a body tells its
// news.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "sim/wire/property_sheet.h"
#include "sim/wire/ptp_codes.h"
#include "sim/wire/ptp_container.h"
#include "sim/wire/ptp_datasets.h"
#include "sim/wire/tethered_camera.h"
#include "sim/wire/traits.h"

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
  std::vector<std::uint32_t> parameters = {};
  std::optional<Bytes> data = {};
  Utc at;                   // Utc::max(): never
  Duration data_late_by{};  // all but the first packet
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

  CameraAnswer send_to(Destination to, Utc now) {
    destination = to;
    return {rig::Answer::ok, now, {}};
  }
};

/// Microsoft's, which newer bodies tell instead of their maker's.
inline constexpr std::uint32_t extension_of_the_class = 6;

/// Where pictures are for a host.
struct Store {
  std::uint32_t id = card_storage;
  std::string words = "card";
  bool in_memory = false;  // without a size
};

/// Camera, panel and traits are those of the body the dialect speaks for, and outlive it.
class Dialect {
 public:
  explicit Dialect(const Traits& traits) : traits_{traits} {}
  virtual ~Dialect() = default;

  /// Adds what this family has: extension, operations, events, properties.
  virtual void describe(DeviceInfo& info) const = 0;
  [[nodiscard]] virtual const PropertySheet& properties() const = 0;
  /// Empty for an operation this family doesn't have, or does as the standard says.
  [[nodiscard]] virtual std::optional<Reply> answer(const Request& request, Utc now) = 0;
  /// For the interrupt pipe; empty when nothing is due there.
  [[nodiscard]] virtual std::optional<Container> event(Utc now) = 0;
  [[nodiscard]] virtual std::vector<Store> stores() const;
  /// As an array of their numbers.
  [[nodiscard]] Bytes store_ids() const;
  /// What a picture's number stands for: some have numbers that are no handles.
  [[nodiscard]] virtual Handle picture(Handle asked, Utc /*now*/) const { return asked; }
  /// Whether a picture that waits for the host is gone when the host has it.
  [[nodiscard]] virtual bool lets_go_when_fetched() const { return true; }
  /// The object format of a raw file.
  [[nodiscard]] virtual std::uint16_t raw_format() const { return format::undefined; }
  /// Whether the host sends data along with this operation.
  [[nodiscard]] virtual bool takes_data(std::uint16_t code) const {
    return code == operation::set_device_prop_value;
  }
  /// Whether this would take a picture.
  [[nodiscard]] virtual bool releases(const Request& request) const {
    return request.code == operation::initiate_capture;
  }

 protected:
  const Traits& traits_;
};

/// A response alone; with data it is OK.
[[nodiscard]] Reply plain(std::uint16_t response, Utc now);
[[nodiscard]] Reply with_data(Bytes data, Utc now);
/// What a release or a setting came to: at once, whenever the body will be free again.
[[nodiscard]] Reply reply_to(const CameraAnswer& answer, Utc now);

/// How a family tells its news by the interrupt pipe; 0 for what it doesn't tell.
struct PipeCodes {
  std::uint16_t added = 0;
  std::uint16_t added_in_memory = 0;
  std::uint16_t complete = 0;
  std::uint16_t changed = 0;
  std::array<std::uint32_t, 4> settings{};  // in the order of sim::Setting
  std::optional<Handle> picture{};          // one number for whichever waits in memory
};
/// The next news that is told at all.
[[nodiscard]] std::optional<Container> told_by_pipe(TetheredCamera& camera, const PipeCodes& codes, Utc now);

/// The body takes no other operation until it has the new value.
[[nodiscard]] Reply set_property(const Property& property, const Bytes& wanted, Utc now);

/// One for each family.
using MakeDialect = std::unique_ptr<Dialect>(TetheredCamera& camera, Panel& panel, const Traits& traits);
MakeDialect generic_dialect;
MakeDialect family_a;
MakeDialect family_b;
MakeDialect family_sony;
MakeDialect family_fuji;
MakeDialect family_panasonic;
MakeDialect family_olympus;

/// What a family is called, what its bodies say of themselves, and who speaks for one.
struct FamilyFacts {
  Family family = Family::generic;
  const char* name = "";
  const char* maker = "";
  std::uint16_t usb_vendor = 0;  // with the product one the driver knows, but for the generic
  std::uint16_t usb_product = 0;
  MakeDialect* make = nullptr;
};
inline constexpr std::array<FamilyFacts, 7> families{{
    {Family::generic, "generic", "Noonfall", 0xFFFF, 0x0001, generic_dialect},
    {Family::a, "a", "Nikon Corporation", 0x04B0, 0x0436, family_a},
    {Family::b, "b", "Canon.Inc", 0x04A9, 0x3250, family_b},
    {Family::sony, "sony", "Sony Corporation", 0x054C, 0x0C33, family_sony},
    {Family::fuji, "fuji", "FUJIFILM", 0x04CB, 0x02DD, family_fuji},
    {Family::panasonic, "panasonic", "Panasonic", 0x04DA, 0x2382, family_panasonic},
    {Family::olympus, "olympus", "OLYMPUS", 0x07B4, 0x0135, family_olympus},
}};
[[nodiscard]] constexpr const FamilyFacts& facts_of(Family family) {
  return families.at(static_cast<std::size_t>(family));
}

}  // namespace noonfall::wire
