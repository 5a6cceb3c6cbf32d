// Panasonic Lumix (extension 0x1C) as libgphoto2 2.5.30 drives it and as the dump panasonic-gh5 shows it:
// settings of 32-bit numbers in datasets of their own, and a release by an operation that the driver's own
// trigger doesn't use.
#include "sim/wire/dialect.h"
#include "sim/wire/false_words.h"
#include "sim/wire/standard_properties.h"

namespace noonfall::wire {
namespace {

namespace vendor {
enum : std::uint16_t {
  get_setting = 0x9402,
  set_setting = 0x9403,
  release = 0x9404,
  list_setting = 0x9108,
  get_target = 0x940A,
  set_target = 0x940B,
  told_change = 0xC102,
  object_added = 0xC108,
  added_in_memory = 0xC109,
};
// The last digits of settings; each has its value one number up.
enum : std::uint16_t { iso = 0x0020, shutter = 0x0030, aperture = 0x0040 };
}  // namespace vendor

constexpr std::uint32_t extension = 0x0000001C;
constexpr std::uint32_t settings = 0x02000000;
constexpr std::uint32_t once = 0x03000011;
constexpr std::uint32_t target = 0x08000091;

/// Thousandths: of a second with the highest bit set, or below one how many go into a second.
std::uint32_t thousandths(exposure::Shutter time) {
  constexpr std::uint32_t of_a_second = 0x80000000;
  if (time.numerator == 1 && time.denominator > 1) return static_cast<std::uint32_t>(time.denominator) * 1000;
  if (time.numerator < time.denominator)
    return static_cast<std::uint32_t>(10 / exposure::exact_seconds(time) + 0.5) * 100;
  return of_a_second | static_cast<std::uint32_t>(exposure::nominal_seconds(time) * 1000 + 0.5);
}

/// As the dump has it: the setting, its value's number, and the value with its list, each with what follows
/// it.
Bytes choices_dataset(const PropertyDescription& setting) {
  constexpr std::uint32_t header = 28;
  const auto& list = std::get<ValueList>(setting.form);
  ByteWriter values;
  write(values, setting.current);
  values.u32(static_cast<std::uint32_t>(list.size()));
  for (const auto& value : list) write(values, value);
  const auto content = values.take();
  const auto size = static_cast<std::uint32_t>(header + content.size());
  const auto head = [](ByteWriter& writer, std::uint32_t code, std::uint32_t rest) {
    writer.u32(code).u32(20).u32(20).u32(0x00010001).u32(0).u32(1).u32(rest);
  };
  ByteWriter whole;
  head(whole, settings | setting.code, header + 8 + size);
  head(whole, settings | (setting.code + 1U), 8 + size);
  whole.u32(1).u32(size).u32(0).u32(0x00010001).u32(0).u32(1).u32(type_code(setting.current)).u32(2);
  return whole.raw(content).take();
}

Bytes value_dataset(std::uint32_t code, const Value& value) {
  ByteWriter writer;
  write(writer, value);
  const auto content = writer.take();
  return ByteWriter{}.u32(code).u32(static_cast<std::uint32_t>(content.size())).raw(content).take();
}

class Panasonic final : public Dialect {
 public:
  Panasonic(TetheredCamera& camera, Panel& panel, const Traits& traits)
      : Dialect{traits}, camera_{camera}, panel_{panel} {
    standard_.add(property::battery_level, [this](Utc) {
      return read_only(property::battery_level, static_cast<std::uint8_t>(battery_shown(camera_, panel_)),
                       ValueRange{std::uint8_t{0}, std::uint8_t{100}, std::uint8_t{1}});
    });
    add_more_settings(standard_, traits.more_settings);
    add_settings();
  }

  void describe(DeviceInfo& info) const override {
    info.vendor_extension = extension;
    for (const std::uint16_t code :
         {vendor::list_setting, vendor::get_setting, vendor::set_setting, vendor::release})
      info.operations.push_back(code);
    info.properties = standard_.codes();
  }
  [[nodiscard]] const PropertySheet& properties() const override { return standard_; }
  /// Under a host's control its card isn't shown.
  [[nodiscard]] std::vector<Store> stores() const override { return {}; }
  [[nodiscard]] bool takes_data(std::uint16_t code) const override {
    return code == vendor::set_setting || code == vendor::set_target || Dialect::takes_data(code);
  }
  [[nodiscard]] bool releases(const Request& request) const override {
    return request.code == vendor::release && request.parameter(0) == once;
  }

  [[nodiscard]] std::optional<Reply> answer(const Request& request, Utc now) override {
    const auto code = request.parameter(0);
    switch (request.code) {
      case vendor::list_setting:
      case vendor::get_setting:
        return told(request, now);
      case vendor::set_setting:
        return set(code, request.data, now);
      case vendor::release:
        if (code != once) return plain(response::parameter_not_supported, now);
        return reply_to(camera_.release(1, panel_.destination, now), now);
      case vendor::get_target:
        return with_data(value_dataset(target, static_cast<std::uint16_t>(panel_.destination)), now);
      case vendor::set_target:
        return point(request.data, now);
      default:
        return std::nullopt;
    }
  }

  [[nodiscard]] std::optional<Container> event(Utc now) override {
    static const PipeCodes codes{.added = vendor::object_added,
                                 .added_in_memory = vendor::added_in_memory,
                                 .changed = vendor::told_change,
                                 .settings = {settings | vendor::shutter, settings | vendor::aperture,
                                              settings | vendor::iso, settings}};
    return told_by_pipe(camera_, codes, now);
  }

 private:
  void add_settings() {
    settings_.add(vendor::iso, [this](Utc) {
      return iso_setting(vendor::iso, camera_, camera_.settings(),
                         [](exposure::Iso each) { return static_cast<std::uint32_t>(each.value); });
    });
    settings_.add(vendor::shutter, [this](Utc) {
      return as_the_mode_allows(shutter_setting(vendor::shutter, camera_, camera_.settings(), thousandths),
                                panel_, traits_);
    });
    settings_.add(vendor::aperture, [this](Utc) {
      return aperture_setting(vendor::aperture, camera_, camera_.settings(),
                              [](exposure::FNumber each) { return static_cast<std::uint16_t>(each.tenths); });
    });
  }

  /// By its own number or its value's.
  [[nodiscard]] std::optional<Property> find(std::uint32_t code, Utc now) const {
    if ((code & 0xFFFF0000U) != settings) return std::nullopt;
    return settings_.find(static_cast<std::uint16_t>(code & 0xFFFEU), now);
  }

  [[nodiscard]] Reply told(const Request& request, Utc now) const {
    auto setting = find(request.parameter(0), now);
    if (!setting) return plain(response::device_prop_not_supported, now);
    if (panel_.false_choices) make_false(setting->description, *panel_.false_choices);
    if (request.code == vendor::list_setting) return with_data(choices_dataset(setting->description), now);
    return with_data(value_dataset(settings | (setting->description.code + 1U), setting->description.current),
                     now);
  }

  [[nodiscard]] Reply set(std::uint32_t code, const Bytes& data, Utc now) {
    ByteReader reader{data};
    const bool is_of_it = reader.u32() == code;
    const auto size = reader.u32();
    const auto setting = find(code, now);
    if (!setting) return plain(response::device_prop_not_supported, now);
    if (!is_of_it || size != reader.left().size()) return plain(response::invalid_device_prop_format, now);
    return set_property(*setting, {reader.left().begin(), reader.left().end()}, now);
  }

  [[nodiscard]] Reply point(const Bytes& data, Utc now) {
    ByteReader reader{data};
    const bool is_target = reader.u32() == target && reader.u32() == 2;
    const auto to = reader.u16();
    if (!is_target || !reader.done() || to > 2) return plain(response::invalid_device_prop_value, now);
    return reply_to(panel_.send_to(static_cast<Destination>(to), now), now);
  }

  TetheredCamera& camera_;
  Panel& panel_;
  PropertySheet standard_;
  PropertySheet settings_;
};

}  // namespace

std::unique_ptr<Dialect> family_panasonic(TetheredCamera& camera, Panel& panel, const Traits& traits) {
  return std::make_unique<Panasonic>(camera, panel, traits);
}

}  // namespace noonfall::wire
