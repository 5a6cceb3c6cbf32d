// Sony Alpha ("sdio", extension 0x11) as libgphoto2 2.5.30 drives it and as the dumps sony-a7m4 and
// sony-a7r3a show it: all properties in one dataset, values by steps, a shutter button of two properties, and
// one number for whatever picture waits for the host.
#include <algorithm>
#include <array>

#include "sim/wire/false_words.h"
#include "sim/wire/family_sony_properties.h"

namespace noonfall::wire {
namespace {

namespace vendor {
enum : std::uint16_t {
  connect = 0x9201,
  get_more_codes = 0x9202,
  set_value = 0x9205,
  press_or_step = 0x9207,
  get_all_properties = 0x9209,
  object_added = 0xC201,
  property_changed = 0xC203,
  raw_file = 0xB101,
};
}

constexpr std::uint32_t extension = 0x00000011;
constexpr Handle waiting_picture = 0xFFFFC001;

/// As the standard's dataset, with a byte more that says how it is changed.
Bytes encode_for_sony(const PropertyDescription& description) {
  constexpr std::ptrdiff_t behind_code_and_type = 4;
  auto bytes = encode(description);
  bytes.insert(bytes.begin() + behind_code_and_type, std::uint8_t{1});
  return bytes;
}

class Sony final : public Dialect {
 public:
  Sony(TetheredCamera& camera, Panel& panel, const Traits& traits)
      : Dialect{traits}, camera_{camera}, panel_{panel} {
    add_sony_properties(properties_, camera, panel, traits);
  }

  void describe(DeviceInfo& info) const override {
    info.vendor_extension = extension;
    info.vendor_extension_words = "Sony PTP Extensions";
    for (const std::uint16_t code : {vendor::connect, vendor::get_more_codes})
      info.operations.push_back(code);
  }
  [[nodiscard]] const PropertySheet& properties() const override { return properties_; }
  /// Under a host's control its card isn't shown.
  [[nodiscard]] std::vector<Store> stores() const override { return {}; }
  [[nodiscard]] std::uint16_t raw_format() const override { return vendor::raw_file; }
  [[nodiscard]] Handle picture(Handle asked, Utc now) const override {
    const auto held = camera_.card().held(now);
    return asked == waiting_picture && !held.empty() ? held.front() : asked;
  }
  [[nodiscard]] bool takes_data(std::uint16_t code) const override {
    return code == vendor::set_value || code == vendor::press_or_step || Dialect::takes_data(code);
  }
  [[nodiscard]] bool releases(const Request& request) const override {
    const auto button = request.parameter(0);
    return request.code == vendor::press_or_step && request.data == ByteWriter{}.u16(sony::down).take() &&
           (button == sony::full_button || button == sony::bulb_button);
  }

  [[nodiscard]] std::optional<Reply> answer(const Request& request, Utc now) override {
    const auto code = static_cast<std::uint16_t>(request.parameter(0));
    switch (request.code) {
      case vendor::connect:
        return with_data(ByteWriter{}.zeros(8).take(), now);
      case vendor::get_more_codes:
        return with_data(more_codes(), now);
      case vendor::get_all_properties:
        return with_data(all_properties(now), now);
      case vendor::set_value:
        return set(code, request.data, now);
      case vendor::press_or_step:
        return press_or_step(code, request.data, now);
      default:
        return std::nullopt;
    }
  }

  [[nodiscard]] std::optional<Container> event(Utc now) override {
    static const PipeCodes codes{
        .added_in_memory = vendor::object_added,
        .changed = vendor::property_changed,
        .settings = {sony::shutter, property::f_number, sony::iso, property::still_capture_mode},
        .picture = waiting_picture};
    return told_by_pipe(camera_, codes, now);
  }

 private:
  [[nodiscard]] Bytes more_codes() const {
    constexpr std::uint16_t dataset_version = 0xC8;
    constexpr std::array<std::uint16_t, 5> others{vendor::set_value, vendor::press_or_step,
                                                  vendor::get_all_properties, vendor::object_added,
                                                  vendor::property_changed};
    auto codes = properties_.codes();
    if (traits_.hides_buttons)
      codes.insert(codes.end(), {sony::half_button, sony::full_button, sony::bulb_button});
    return ByteWriter{}.u16(dataset_version).array(codes).array(others).take();
  }

  [[nodiscard]] Bytes all_properties(Utc now) const {
    const auto codes = properties_.codes();
    ByteWriter all;
    all.u32(static_cast<std::uint32_t>(codes.size())).u32(0);
    for (const auto code : codes) {
      auto description = properties_.find(code, now)->description;
      if (panel_.false_choices) make_false(description, *panel_.false_choices);
      all.raw(encode_for_sony(description));
    }
    return all.take();
  }

  /// Answered at once and shown when it is taken. A shutter time that steps and the button
  /// aren't set so, and nothing is said of it: the driver's own tries to do it after stepping or pressing.
  [[nodiscard]] Reply set(std::uint16_t code, const Bytes& data, Utc now) {
    const auto property = properties_.find(code, now);
    if (!property) return plain(response::device_prop_not_supported, now);
    const bool is_button =
        code == sony::half_button || code == sony::full_button || code == sony::bulb_button;
    if (code == sony::shutter || is_button) return plain(response::ok, now);
    auto reply = set_property(*property, data, now);
    if (reply.response == response::ok) reply.at = now;
    return reply;
  }

  [[nodiscard]] Reply press_or_step(std::uint16_t code, const Bytes& data, Utc now) {
    ByteReader reader{data};
    if (data.size() == 2) return press(code, reader.u16() == sony::down, now);
    const auto steps = static_cast<std::int8_t>(reader.u8());
    if (!reader.done()) return plain(response::invalid_device_prop_format, now);
    const auto& [shutters, apertures, isos] = camera_.profile().choices;
    const auto& [shutter, aperture, iso] = camera_.settings().exposure;
    if (code == sony::shutter) return step(shutters, shutter, steps, now);
    if (code == sony::iso) return step(isos, iso, steps, now);
    if (code != property::f_number || apertures.empty())
      return plain(response::device_prop_not_supported, now);
    return step(apertures, aperture.value_or(apertures.front()), steps, now);
  }

  /// Through the choices as they rise: of shutter times the shortest is the last.
  template <class T>
  [[nodiscard]] Reply step(std::vector<T> choices, const T& from, int steps, Utc now) {
    if constexpr (std::is_same_v<T, exposure::Shutter>) {
      if (panel_.program != Panel::Program::manual) return plain(response::access_denied, now);
      std::ranges::sort(choices, std::ranges::greater{}, exposure::nominal_seconds);
    }
    if (traits_.single_notches) steps = std::clamp(steps, -1, 1);
    const auto last = static_cast<std::ptrdiff_t>(choices.size()) - 1;
    const auto at = std::ranges::find(choices, from) - choices.begin();
    const auto to = std::clamp<std::ptrdiff_t>(at + steps, 0, last);
    if (steps == 0 || to == at) return plain(response::ok, now);
    return reply_to(camera_.set(choices[static_cast<std::size_t>(to)], now), now);
  }

  /// A press that comes too early, or finds no focus, does nothing, and nothing is said of it.
  [[nodiscard]] Reply press(std::uint16_t button, bool pressed, Utc now) {
    if (button != sony::full_button && button != sony::bulb_button) return plain(response::ok, now);
    if (!pressed) {
      camera_.let_go(now);
      return plain(response::ok, now);
    }
    if (panel_.focus_fails) return plain(response::ok, now);
    const auto answer = camera_.press(panel_.destination, now);
    return answer.answer == rig::Answer::busy ? plain(response::ok, now) : reply_to(answer, now);
  }

  TetheredCamera& camera_;
  Panel& panel_;
  PropertySheet properties_;
};

}  // namespace

std::unique_ptr<Dialect> family_sony(TetheredCamera& camera, Panel& panel, const Traits& traits) {
  return std::make_unique<Sony>(camera, panel, traits);
}

}  // namespace noonfall::wire
