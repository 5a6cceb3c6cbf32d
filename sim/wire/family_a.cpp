#include <array>

#include "lib/base/match.h"
#include "sim/wire/camera_codes.h"
#include "sim/wire/dialect.h"
#include "sim/wire/ptp_codes.h"
#include "sim/wire/standard_properties.h"

namespace noonfall::wire {
namespace {

constexpr std::uint32_t extension = 0x0000000A;

namespace vendor {
enum : std::uint16_t {
  autofocus = 0x90C1,
  set_control_mode = 0x90C2,
  get_events = 0x90C7,
  is_ready = 0x90C8,
  get_more_properties = 0x90CA,
  capture = 0x9207,
  end_capture = 0x920C,
  out_of_focus = 0xA002,
  added_in_memory = 0xC101,
  bracket_set = 0xD078,
  bracket_mode = 0xD079,
  bracket_order = 0xD07A,
  bracketing = 0xD0C0,
  bracket_step = 0xD0C1,
  bracket_pattern = 0xD0C2,
  shutter_time = 0xD100,
  buffer_frames_left = 0xD103,
  recording_medium = 0xD10B,
  live_view_status = 0xD1A2,
  card_frames_left = 0xD1F1,
};
}

constexpr std::uint32_t bulb = 0xFFFFFFFF;  // of either shutter time
constexpr std::uint32_t capture_with_autofocus = 0xFFFFFFFE;

/// What a bracket is made of, by the codes of dump nikon-z6 and the tables of config.c (3947, 3973, 6259,
/// 6304).
struct BracketMenu {
  std::uint8_t set = 0;  // exposure and flash, exposure, flash, …
  std::uint8_t mode = 0;
  std::uint8_t order = 0;
  std::uint8_t on = 0;
  std::uint8_t step = 3;
  std::uint8_t pattern = 8;  // no frame

  /// Those with as many frames to each side of the middle.
  [[nodiscard]] std::optional<BodyBracket> bracket() const {
    constexpr std::array steps{1.0 / 3, 1.0 / 2, 2.0 / 3, 1.0, 2.0, 3.0};
    constexpr std::uint8_t three_frames = 4;
    constexpr std::uint8_t nine_frames = 7;
    if (on == 0 || set > 1 || pattern < three_frames || pattern > nine_frames) return std::nullopt;
    return BodyBracket{3 + 2 * (pattern - three_frames),
                       {steps.at(step)},
                       order == 0 ? BodyBracket::Order::middle_then_rising : BodyBracket::Order::rising};
  }
};

/// Captures by an operation of its own that names the target, and hands its events out when asked.
class FamilyA final : public Dialect {
 public:
  FamilyA(TetheredCamera& camera, Panel& panel, const Traits& traits)
      : Dialect{traits}, camera_{camera}, panel_{panel} {
    add_standard_properties(properties_, camera, panel, traits);
    standard_ = properties_.codes();
    amend_standard_properties();
    add_vendor_properties();
  }

  void describe(DeviceInfo& info) const override {
    info.vendor_extension = traits_.new_model ? extension_of_the_class : extension;
    for (const std::uint16_t code : {vendor::autofocus, vendor::set_control_mode, vendor::get_events,
                                     vendor::is_ready, vendor::capture, vendor::end_capture}) {
      info.operations.push_back(code);
    }
    if (!traits_.needs_control_mode) info.operations.push_back(vendor::get_more_properties);
    info.events = {event::object_added, event::device_prop_changed, event::capture_complete,
                   vendor::added_in_memory};
    info.properties = standard_;
  }

  [[nodiscard]] const PropertySheet& properties() const override { return properties_; }
  [[nodiscard]] std::optional<Container> event(Utc /*now*/) override { return std::nullopt; }
  [[nodiscard]] bool releases(const Request& request) const override {
    return request.code == vendor::capture;
  }

  [[nodiscard]] std::optional<Reply> answer(const Request& request, Utc now) override {
    switch (request.code) {
      case vendor::autofocus:
        return focuses() ? plain(response::ok, now) : plain(vendor::out_of_focus, now);
      case vendor::set_control_mode:
        controlled_ = request.parameter(0) != 0;
        return plain(response::ok, now);
      case vendor::end_capture:
        camera_.let_go(now);
        return plain(response::ok, now);
      case vendor::get_events:
        return with_data(events(now), now);
      case vendor::is_ready:
        return plain(camera_.busy(now) ? response::device_busy : response::ok, now);
      case vendor::get_more_properties:
        if (traits_.needs_control_mode) return std::nullopt;
        return with_data(more_properties(), now);
      case vendor::capture:
        return capture(request, now);
      default:
        return std::nullopt;
    }
  }

 private:
  /// The driver opens a shutter at bulb by the standard's time, after setting the program to what it is.
  void amend_standard_properties() {
    properties_.amend(property::exposure_time, [this](Property time) { return shutter(std::move(time)); });
    properties_.amend(property::exposure_program_mode, [this](Property program) {
      if (traits_.mode_dial) return program;
      program.set = [now = program.description.current](const Value& wanted, Utc when) {
        return CameraAnswer{wanted == now ? rig::Answer::ok : rig::Answer::refused, when, "turn the dial"};
      };
      program.description.access = Access::read_write;
      return program;
    });
  }

  [[nodiscard]] Property shutter(Property time) {
    if (panel_.program != Panel::Program::manual) return as_the_mode_allows(std::move(time), panel_, traits_);
    time = with_bulb(std::move(time), bulb, camera_);
    return traits_.needs_control_mode && !controlled_ ? as_it_is(std::move(time)) : time;
  }

  void add_vendor_properties() {
    properties_.add(vendor::shutter_time, [this](Utc) {
      return shutter(setting_of(vendor::shutter_time, camera_, camera_.profile().choices.shutters,
                                camera_.settings().exposure.shutter, fraction));
    });
    properties_.add(vendor::buffer_frames_left, [this](Utc now) {
      return read_only(vendor::buffer_frames_left,
                       static_cast<std::uint16_t>(camera_.buffer_frames_left(now)));
    });
    properties_.add(vendor::recording_medium, [this](Utc) { return recording_medium(); });
    properties_.add(vendor::live_view_status,
                    [](Utc) { return read_only(vendor::live_view_status, std::uint8_t{0}); });
    properties_.add(vendor::card_frames_left, [this](Utc) {
      return read_only(vendor::card_frames_left, static_cast<std::uint32_t>(camera_.frames_left()));
    });
    if (camera_.profile().brackets) add_bracket_properties();
  }

  void add_bracket_properties() {
    const auto add = [this](std::uint16_t code, std::uint8_t BracketMenu::*part, std::uint8_t most) {
      properties_.add(code, [this, code, part, most](Utc) {
        const std::uint8_t none{0};
        Property property{
            {code, Access::read_write, none, bracket_menu_.*part, ValueRange{none, most, std::uint8_t{1}}},
            {}};
        property.set = [this, part](const Value& wanted, Utc now) {
          auto menu = bracket_menu_;
          menu.*part = static_cast<std::uint8_t>(number(wanted));
          auto answer = camera_.set_bracket(menu.bracket(), now);
          if (answer.answer == rig::Answer::ok) bracket_menu_ = menu;
          return answer;
        };
        return property;
      });
    };
    add(vendor::bracket_set, &BracketMenu::set, 4);
    add(vendor::bracket_mode, &BracketMenu::mode, 3);
    add(vendor::bracket_order, &BracketMenu::order, 1);
    add(vendor::bracketing, &BracketMenu::on, 1);
    add(vendor::bracket_step, &BracketMenu::step, 5);
    add(vendor::bracket_pattern, &BracketMenu::pattern, 8);
  }

  [[nodiscard]] Property recording_medium() {
    return coded_setting<Destination>(
        vendor::recording_medium,
        {{Destination::card, std::uint8_t{0}}, {Destination::host, std::uint8_t{1}}}, panel_.destination,
        [this](Destination wanted, Utc now) { return panel_.send_to(wanted, now); });
  }

  [[nodiscard]] Bytes more_properties() const {
    auto codes = properties_.codes();
    codes.erase(codes.begin(), codes.begin() + static_cast<std::ptrdiff_t>(standard_.size()));
    return ByteWriter{}.array(codes).take();
  }

  [[nodiscard]] bool focuses() const { return panel_.focus == Panel::Focus::manual || !panel_.focus_fails; }

  [[nodiscard]] Reply capture(const Request& request, Utc now) {
    if (request.parameter(0) == capture_with_autofocus && !focuses()) {
      return plain(vendor::out_of_focus, now);
    }
    const auto destination = request.parameter(1) == 0 ? Destination::card : Destination::host;
    // Pictures for the host stay in the buffer until it has fetched them.
    if (destination == Destination::host && camera_.card().held() >= camera_.buffer_frames_left(now)) {
      return too_early(now);
    }
    const bool burst = camera_.settings().drive == body::Drive::continuous;
    const auto answer = camera_.is_at_bulb() ? camera_.press(destination, now)
                                             : camera_.release(burst ? panel_.burst : 1, destination, now);
    return answer.answer == rig::Answer::busy ? too_early(now) : reply_to(answer, now);
  }

  [[nodiscard]] Reply too_early(Utc now) const {
    return plain(static_cast<std::uint16_t>(traits_.busy_word), now);
  }

  [[nodiscard]] Bytes events(Utc now) {
    ByteWriter told;
    std::uint16_t count = 0;
    const auto tell = [&](std::uint16_t code, std::uint32_t parameter) {
      told.u16(code).u32(parameter);
      ++count;
    };
    while (const auto notice = camera_.notice(now)) {
      std::visit(
          Match{[&](const PictureAdded& added) {
                  const bool held = camera_.card().is_held(added.handle);
                  tell(static_cast<std::uint16_t>(held ? +vendor::added_in_memory : +event::object_added),
                       added.handle);
                },
                [&](const FrameComplete&) { tell(event::capture_complete, 0); },
                [&](const SettingChanged& changed) {
                  constexpr std::uint32_t codes[] = {vendor::shutter_time, property::f_number,
                                                     property::exposure_index, property::still_capture_mode};
                  tell(event::device_prop_changed, codes[changed.value.index()]);
                },
                [&](const OtherChanged& other) { tell(event::device_prop_changed, other.code); }},
          notice->what);
    }
    return ByteWriter{}.u16(count).raw(told.take()).take();
  }

  TetheredCamera& camera_;
  Panel& panel_;
  bool controlled_ = false;  // by the host
  BracketMenu bracket_menu_;
  PropertySheet properties_;
  std::vector<std::uint16_t> standard_;
};

}  // namespace

std::unique_ptr<Dialect> family_a(TetheredCamera& camera, Panel& panel, const Traits& traits) {
  return std::make_unique<FamilyA>(camera, panel, traits);
}

}  // namespace noonfall::wire
