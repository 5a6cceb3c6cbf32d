// Fujifilm X and GFX (extension 0x0E) as libgphoto2 2.5.30 drives them and as the dumps fuji-xt3 and fuji-xt4
// show them: a shutter button whose stroke is a property, news as a property's value, and a buffer that wants
// emptying.
#include <algorithm>

#include <fmt/format.h>

#include "lib/base/match.h"
#include "sim/wire/camera_codes.h"
#include "sim/wire/dialect.h"
#include "sim/wire/standard_properties.h"

namespace noonfall::wire {
namespace {

namespace vendor {
enum : std::uint16_t {
  quality = 0xD018,
  drive = 0xD201,
  priority = 0xD207,
  stroke = 0xD208,
  focus_status = 0xD209,
  media_record = 0xD20C,
  free_pictures = 0xD20E,
  changes = 0xD212,
  battery = 0xD36B,
  pc_mode = 0xD38C,
  raw_file = 0xB103,
};
}

// The strokes that do something here; the driver's 0x0200 before them focuses.
constexpr std::uint16_t shooting = 0x0304;
constexpr std::uint16_t opening = 0x0500;
constexpr std::uint16_t letting_go = 0x000C;

constexpr std::uint32_t extension = 0x0000000E;
constexpr std::uint32_t still_store = 0x10000001;
constexpr std::uint32_t live_store = 0x10000002;

Value as_u16(std::size_t value) {
  return static_cast<std::uint16_t>(value);
}

class Fuji final : public Dialect {
 public:
  Fuji(TetheredCamera& camera, Panel& panel, const Traits& traits)
      : Dialect{traits}, camera_{camera}, panel_{panel} {
    add_standard_properties(properties_, camera, panel, traits);
    properties_.drop({property::battery_level, property::compression_setting, property::exposure_time,
                      property::exposure_index, property::still_capture_mode, property::burst_number});
    add_exposure();
    add_switches();
  }

  void describe(DeviceInfo& info) const override {
    info.vendor_extension = extension;
    info.vendor_extension_words = "fujifilm.co.jp: 1.0; ";
    info.operations.insert(info.operations.end(), {operation::delete_object, operation::initiate_capture});
    info.properties = properties_.codes();
    // Listed, and answered that there is no such property.
    info.properties.insert(info.properties.end(),
                           {property::battery_level, property::burst_number, vendor::changes});
  }
  [[nodiscard]] const PropertySheet& properties() const override { return properties_; }
  /// Nothing comes by the interrupt pipe: one event a session was told of.
  [[nodiscard]] std::optional<Container> event(Utc /*now*/) override { return std::nullopt; }
  [[nodiscard]] std::vector<Store> stores() const override {
    return {{still_store, "Still", true}, {live_store, "Live", true}};
  }
  [[nodiscard]] bool lets_go_when_fetched() const override { return false; }
  [[nodiscard]] std::uint16_t raw_format() const override { return vendor::raw_file; }
  [[nodiscard]] bool releases(const Request& request) const override {
    return request.code == operation::initiate_capture && (stroke_ == shooting || stroke_ == opening);
  }

  [[nodiscard]] std::optional<Reply> answer(const Request& request, Utc now) override {
    switch (request.code) {
      case operation::get_object_handles:
        return with_data(pictures(request.parameter(0), now), now);
      case operation::delete_object:
        return erase(request.parameter(0), now);
      case operation::initiate_capture:
        return act(now);
      case operation::get_device_prop_value:
        if (request.parameter(0) == vendor::changes) return with_data(changes(now), now);
        return std::nullopt;
      default:
        return std::nullopt;
    }
  }

 private:
  void add_exposure() {
    properties_.add(property::exposure_time, [this](Utc) {
      auto time = shutter_setting(property::exposure_time, camera_, camera_.settings(), microseconds);
      return as_the_mode_allows(with_bulb(std::move(time), std::uint32_t{0xFFFFFFFF}, camera_), panel_,
                                traits_);
    });
    properties_.add(property::exposure_index, [this](Utc) {
      auto iso = iso_setting(property::exposure_index, camera_, camera_.settings(),
                             [](exposure::Iso each) { return each.value; });
      auto& list = std::get<ValueList>(iso.description.form);
      for (const std::int32_t automatic : {-1, -2, -3}) list.emplace_back(automatic);
      return iso;
    });
    properties_.add(vendor::quality, [this](Utc) {
      using body::Files;
      return files_setting(
          vendor::quality, camera_,
          {{Files::raw, as_u16(1)}, {Files::jpeg, as_u16(2)}, {Files::raw_and_jpeg, as_u16(4)}});
    });
    // One way to follow each other, whose number the driver takes for a self-timer's.
    properties_.add(vendor::drive, [](Utc) {
      return read_only(vendor::drive, as_u16(4), ValueList{as_u16(4), as_u16(8)});
    });
  }

  void add_switches() {
    for (const auto& [code, switched] : {std::pair{vendor::priority, &priority_},
                                         {vendor::pc_mode, &pc_mode_},
                                         {vendor::stroke, &stroke_}}) {
      properties_.add(code, [code = code, switched = switched](Utc) {
        Property property{{code, Access::read_write, *switched, *switched, {}}, {}};
        property.set = [switched](const Value& wanted, Utc now) {
          *switched = std::get<std::uint16_t>(wanted);
          return CameraAnswer{rig::Answer::ok, now, {}};
        };
        return property;
      });
    }
    properties_.add(vendor::focus_status, [this](Utc) {
      return read_only(vendor::focus_status, as_u16(panel_.focus_fails ? 3 : 2));
    });
    properties_.add(vendor::media_record, [this](Utc) {
      return coded_setting<Destination>(
          vendor::media_record, {{Destination::both, as_u16(3)}, {Destination::host, as_u16(4)}},
          panel_.destination, [this](Destination to, Utc now) { return panel_.send_to(to, now); });
    });
    properties_.add(vendor::free_pictures,
                    [this](Utc) { return read_only(vendor::free_pictures, as_u16(free_pictures())); });
    properties_.add(vendor::battery, [this](Utc) {
      return read_only(vendor::battery, fmt::format("{},0,0", battery_shown(camera_, panel_)));
    });
  }

  [[nodiscard]] std::size_t free_pictures() const {
    const int a_picture = camera_.files() == body::Files::raw_and_jpeg ? 2 : 1;
    return static_cast<std::size_t>(std::max(0, traits_.host_buffer - camera_.card().held() / a_picture));
  }

  [[nodiscard]] Bytes pictures(std::uint32_t store, Utc now) const {
    const auto held = store == live_store ? std::vector<Handle>{} : camera_.card().held(now);
    return ByteWriter{}.array(held).take();
  }

  [[nodiscard]] Reply erase(Handle picture, Utc now) {
    if (!camera_.card().is_held(picture)) return plain(response::invalid_object_handle, now);
    camera_.fetched(picture);
    return plain(response::ok, now);
  }

  /// What the stroke says.
  [[nodiscard]] Reply act(Utc now) {
    if (stroke_ == letting_go) camera_.let_go(now);
    if (stroke_ != shooting && stroke_ != opening) return plain(response::ok, now);
    if (panel_.focus_fails || free_pictures() == 0) return plain(response::device_busy, now);
    return reply_to(stroke_ == opening ? camera_.press(panel_.destination, now)
                                       : camera_.release(1, panel_.destination, now),
                    now);
  }

  /// Codes and values of what is other than it was, told once.
  [[nodiscard]] Bytes changes(Utc now) {
    ByteWriter told;
    std::uint16_t count = 0;
    const auto tell = [&](std::uint16_t code, std::size_t value) {
      told.u16(code).u32(static_cast<std::uint32_t>(value));
      ++count;
    };
    while (const auto notice = camera_.notice(now)) {
      std::visit(Match{[&](const PictureAdded&) { tell(vendor::free_pictures, free_pictures()); },
                       [](const FrameComplete&) {},
                       [&](const SettingChanged& changed) {
                         constexpr std::uint16_t codes[] = {property::exposure_time, property::f_number,
                                                            property::exposure_index, vendor::drive};
                         tell(codes[changed.value.index()], 0);
                       },
                       [&](const OtherChanged& other) { tell(other.code, 0); }},
                 notice->what);
    }
    return ByteWriter{}.u16(count).raw(told.take()).take();
  }

  TetheredCamera& camera_;
  Panel& panel_;
  std::uint16_t priority_ = 1;
  std::uint16_t pc_mode_ = 0;
  std::uint16_t stroke_ = shooting;
  PropertySheet properties_;
};

}  // namespace

std::unique_ptr<Dialect> family_fuji(TetheredCamera& camera, Panel& panel, const Traits& traits) {
  return std::make_unique<Fuji>(camera, panel, traits);
}

}  // namespace noonfall::wire
