// Olympus OM-D and OM System, told by their names and not by an extension, as libgphoto2 2.5.30 drives them
// and as the dump om-system-om-1 shows them: properties of the standard's form with numbers of their own, and
// a shutter button that is one operation down and up.
#include "sim/wire/camera_codes.h"
#include "sim/wire/dialect.h"
#include "sim/wire/standard_properties.h"

namespace noonfall::wire {
namespace {

namespace vendor {
enum : std::uint16_t {
  button = 0x9481,
  get_changed = 0x9486,
  object_added = 0xC102,
  property_changed = 0xC108,
  aperture = 0xD002,
  focus = 0xD003,
  iso = 0xD007,
  drive = 0xD009,
  format = 0xD00D,
  shutter = 0xD01C,
  pc_mode = 0xD052,
  target = 0xD0DC,
  raw_file = 0xB101,
};
}

constexpr std::uint32_t down = 3;
constexpr std::uint32_t up = 6;

/// Numerator and denominator: from a second on tenths over 10, below it 10 over tenths, from 1/3 s on 1 over
/// n.
std::uint32_t tens(exposure::Shutter time) {
  const auto seconds = exposure::exact_seconds(time);
  const auto over = [](double numerator, double denominator) {
    return static_cast<std::uint32_t>(numerator + 0.5) << 16U | static_cast<std::uint32_t>(denominator + 0.5);
  };
  if (time.numerator >= time.denominator) return over(10 * exposure::nominal_seconds(time), 10);
  if (time == exposure::Shutter{3, 10}) return over(1, 3);
  return time.denominator > 2 && time.numerator == 1 ? over(1, time.denominator) : over(10, 10 / seconds);
}

Value as_u16(std::size_t value) {
  return static_cast<std::uint16_t>(value);
}

class Olympus final : public Dialect {
 public:
  Olympus(TetheredCamera& camera, Panel& panel, const Traits& traits)
      : Dialect{traits}, camera_{camera}, panel_{panel} {
    add_standard_properties(properties_, camera, panel, traits);
    properties_.drop({property::compression_setting, property::f_number, property::focus_mode,
                      property::exposure_time, property::exposure_program_mode, property::exposure_index,
                      property::still_capture_mode, property::burst_number});
    add_exposure();
    add_switches();
  }

  /// The driver knows the older ones by the maker's and the model's name, the newer ones not at all.
  void describe(DeviceInfo& info) const override {
    if (traits_.maker == "OLYMPUS") info.model = "E-M1 " + info.model;
    for (const std::uint16_t code : {vendor::button, vendor::get_changed}) info.operations.push_back(code);
    info.properties = properties_.codes();
  }
  [[nodiscard]] const PropertySheet& properties() const override { return properties_; }
  [[nodiscard]] std::uint16_t raw_format() const override { return vendor::raw_file; }
  [[nodiscard]] bool releases(const Request& request) const override {
    return request.code == vendor::button && request.parameter(0) == down;
  }

  [[nodiscard]] std::optional<Reply> answer(const Request& request, Utc now) override {
    if (request.code == vendor::get_changed) return with_data(ByteWriter{}.u32(0).take(), now);
    if (request.code != vendor::button) return std::nullopt;
    if (request.parameter(0) == down) return reply_to(camera_.press(panel_.destination, now), now);
    if (request.parameter(0) != up) return plain(response::parameter_not_supported, now);
    camera_.let_go(now);
    return plain(response::ok, now);
  }

  [[nodiscard]] std::optional<Container> event(Utc now) override {
    static const PipeCodes codes{.added = vendor::object_added,
                                 .added_in_memory = vendor::object_added,
                                 .changed = vendor::property_changed,
                                 .settings = {vendor::shutter, vendor::aperture, vendor::iso, vendor::drive}};
    return told_by_pipe(camera_, codes, now);
  }

 private:
  void add_exposure() {
    properties_.add(vendor::shutter, [this](Utc) {
      auto time = shutter_setting(vendor::shutter, camera_, camera_.settings(), tens);
      return as_the_mode_allows(with_bulb(std::move(time), std::uint32_t{0xFFFFFFFC}, camera_), panel_,
                                traits_);
    });
    properties_.add(vendor::iso, [this](Utc) {
      auto iso = iso_setting(vendor::iso, camera_, camera_.settings(), exposure_index);
      std::get<ValueList>(iso.description.form).push_back(as_u16(0xFFFF));  // automatic; it can't be set here
      return iso;
    });
    properties_.add(vendor::aperture, [this](Utc) {
      return aperture_setting(vendor::aperture, camera_, camera_.settings(),
                              [](exposure::FNumber each) { return static_cast<std::uint16_t>(each.tenths); });
    });
  }

  void add_switches() {
    properties_.add(vendor::focus, [this](Utc) {
      return read_only(vendor::focus, as_u16(panel_.focus == Panel::Focus::manual ? 1 : 0x8005),
                       ValueList{as_u16(0x8001), as_u16(0x8005), as_u16(1)});
    });
    // Of the ways to follow each other only the single frame's number is known.
    properties_.add(vendor::drive, [](Utc) {
      return read_only(vendor::drive, as_u16(1), ValueList{as_u16(1), as_u16(33), as_u16(7)});
    });
    properties_.add(vendor::format, [this](Utc) {
      using body::Files;
      return files_setting(
          vendor::format, camera_,
          {{Files::raw, as_u16(0x020)}, {Files::jpeg, as_u16(0x101)}, {Files::raw_and_jpeg, as_u16(0x121)}});
    });
    properties_.add(vendor::target, [this](Utc) {
      return coded_setting<Destination>(
          vendor::target,
          {{Destination::both, as_u16(3)}, {Destination::card, as_u16(2)}, {Destination::host, as_u16(1)}},
          panel_.destination, [this](Destination to, Utc now) { return panel_.send_to(to, now); });
    });
    properties_.add(vendor::pc_mode, [this](Utc) {
      return coded_setting<bool>(vendor::pc_mode, {{true, as_u16(1)}, {false, as_u16(0)}}, pc_mode_,
                                 [this](bool on, Utc now) {
                                   pc_mode_ = on;
                                   return CameraAnswer{rig::Answer::ok, now, {}};
                                 });
    });
  }

  TetheredCamera& camera_;
  Panel& panel_;
  bool pc_mode_ = false;
  PropertySheet properties_;
};

}  // namespace

std::unique_ptr<Dialect> family_olympus(TetheredCamera& camera, Panel& panel, const Traits& traits) {
  return std::make_unique<Olympus>(camera, panel, traits);
}

}  // namespace noonfall::wire
