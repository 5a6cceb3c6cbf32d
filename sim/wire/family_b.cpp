#include <algorithm>
#include <deque>
#include <utility>

#include "lib/base/match.h"
#include "sim/wire/dialect.h"
#include "sim/wire/false_words.h"
#include "sim/wire/family_b_properties.h"
#include "sim/wire/family_b_records.h"
#include "sim/wire/ptp_codes.h"

namespace noonfall::wire {
namespace {

namespace records = family_b_records;

constexpr std::uint32_t extension = 0x0000000B;

namespace vendor {
enum : std::uint16_t {
  get_store_ids = 0x9101,
  get_store_info = 0x9102,
  set_property = 0x9110,
  set_remote_mode = 0x9114,
  set_event_mode = 0x9115,
  get_events = 0x9116,
  transfer_complete = 0x9117,
  host_capacity = 0x911A,
  lock_panel = 0x911B,
  unlock_panel = 0x911C,
  keep_on = 0x911D,
  request_property = 0x9127,
  press = 0x9128,
  release = 0x9129,
  panel_groups = 0x913D,
  cancel_focus = 0x9160,
  friendly_name = 0xD402,
};
}

// The two strokes of the shutter button.
constexpr std::uint32_t half = 1;
constexpr std::uint32_t full = 2;

constexpr std::uint32_t free_status = 0;
constexpr std::uint32_t busy_status = 1;

CardObject untrue_picture() {
  CardObject picture;
  picture.handle = no_picture;
  picture.parent = no_picture - 1;
  picture.name = "NOON9999.RAW";
  return picture;
}

/// Follows a remote shutter button, and hands its properties and its news out as records when asked.
class FamilyB final : public Dialect {
 public:
  FamilyB(TetheredCamera& camera, Panel& panel, const Traits& traits)
      : Dialect{traits}, camera_{camera}, panel_{panel} {
    add_family_b_properties(properties_, camera, panel, traits);
    standard_.add(vendor::friendly_name,
                  [](Utc) { return read_only(vendor::friendly_name, std::string{"Noonfall"}); });
  }

  void describe(DeviceInfo& info) const override {
    info.vendor_extension = traits_.new_model ? extension_of_the_class : extension;
    for (const std::uint16_t code :
         {vendor::get_store_ids, vendor::get_store_info, vendor::set_property, vendor::set_remote_mode,
          vendor::set_event_mode, vendor::get_events, vendor::transfer_complete, vendor::host_capacity,
          vendor::lock_panel, vendor::unlock_panel, vendor::keep_on, vendor::request_property, vendor::press,
          vendor::release, vendor::panel_groups, vendor::cancel_focus}) {
      info.operations.push_back(code);
    }
    info.properties = standard_.codes();
  }

  /// By the standard's operations a host sees only a name; the rest comes as records. Without any the driver
  /// says yes to settings that aren't there.
  [[nodiscard]] const PropertySheet& properties() const override { return standard_; }
  [[nodiscard]] std::optional<Container> event(Utc /*now*/) override { return std::nullopt; }
  [[nodiscard]] std::uint16_t raw_format() const override { return records::raw_file; }
  [[nodiscard]] bool takes_data(std::uint16_t code) const override {
    return code == vendor::set_property || Dialect::takes_data(code);
  }
  [[nodiscard]] bool releases(const Request& request) const override {
    return request.code == vendor::press && (request.parameter(0) & full) != 0;
  }

  [[nodiscard]] std::optional<Reply> answer(const Request& request, Utc now) override {
    switch (request.code) {
      case vendor::set_property:
        return set_property(request, now);
      case vendor::set_event_mode:
        if (request.parameter(0) != 0) tell_everything(now);
        return plain(response::ok, now);
      case vendor::get_events:
        return with_data(events(now), now);
      case vendor::request_property:
        tell_property(static_cast<std::uint16_t>(request.parameter(0)), now);
        return plain(response::ok, now);
      case vendor::press:
        return press(request.parameter(0), now);
      case vendor::release:
        return let_go(request.parameter(0), now);
      default:
        return of_stores(request, now);
    }
  }

 private:
  [[nodiscard]] std::optional<Reply> of_stores(const Request& request, Utc now) {
    switch (request.code) {
      case vendor::get_store_ids:
        return with_data(store_ids(), now);
      case vendor::get_store_info:
        return with_data(ByteWriter{}.u32(card_storage).take(), now);
      case vendor::transfer_complete:
        camera_.fetched(request.parameter(0));
        return plain(response::ok, now);
      case vendor::set_remote_mode:
      case vendor::host_capacity:
      case vendor::lock_panel:
      case vendor::unlock_panel:
      case vendor::keep_on:
      case vendor::panel_groups:
      case vendor::cancel_focus:
        return plain(response::ok, now);
      default:
        return std::nullopt;
    }
  }

  [[nodiscard]] Reply press(std::uint32_t strokes, Utc now) {
    if ((strokes & half) != 0) tell(now, records::focus_record(!panel_.focus_fails));
    if ((strokes & full) == 0) return plain(response::ok, now);
    if (half_down_) return plain(response::device_busy, now);
    if (traits_.button_news && panel_.focus == Panel::Focus::automatic && panel_.focus_fails) {
      tell(now, records::button_record(3));
      return plain(response::ok, now);
    }
    const auto answer = camera_.press(panel_.destination, now);
    half_down_ = traits_.half_press_stays && answer.answer == rig::Answer::busy;
    if (answer.answer == rig::Answer::ok) {
      if (traits_.button_news) {
        tell(now, records::button_record(2));
        tell(now, records::button_record(4));
      }
      tell(now, records::status_record(busy_status));
      if (!camera_.is_held()) tell(camera_.free_at(), records::status_record(free_status));
    }
    return reply_to(answer, now);
  }

  [[nodiscard]] Reply let_go(std::uint32_t strokes, Utc now) {
    if (traits_.button_news) tell(now, records::button_record(1));
    half_down_ = half_down_ && (strokes & half) == 0;
    if ((strokes & full) != 0 && camera_.is_held()) {
      camera_.let_go(now);
      tell(camera_.free_at(), records::status_record(free_status));
    }
    return plain(response::ok, now);
  }

  [[nodiscard]] Reply set_property(const Request& request, Utc now) {
    ByteReader reader{request.data};
    const auto size = reader.u32();
    const auto code = reader.u32();
    const auto wanted = records::read_value(code, reader.left());
    if (size != request.data.size() || !wanted) return plain(response::invalid_device_prop_format, now);
    const auto property = properties_.find(static_cast<std::uint16_t>(code), now);
    if (!property) return plain(response::device_prop_not_supported, now);
    if (!property->set) return plain(response::access_denied, now);
    if (!allows(property->description.form, *wanted)) return plain(response::invalid_device_prop_value, now);
    const auto taken_up = std::max(now, camera_.settled_at());
    const auto answer = property->set(*wanted, now);
    // What the camera itself takes time for is told when it has it.
    const bool told_later = answer.at > now;
    if (answer.answer == rig::Answer::ok && !told_later) tell_property(property->description.code, now);
    return reply_to(answer, taken_up);
  }

  void tell_everything(Utc now) {
    for (const auto code : properties_.codes()) tell_property(code, now);
  }

  void tell_property(std::uint16_t code, Utc now) {
    auto property = properties_.find(code, now);
    if (!property) return;
    if (panel_.false_choices) make_false(property->description, *panel_.false_choices);
    tell(now, records::value_record(property->description));
    if (auto choices = records::choices_record(property->description); !choices.empty()) {
      tell(now, std::move(choices));
    }
  }

  void tell(Utc at, Bytes record) {
    const auto after = std::ranges::upper_bound(news_, at, {}, &News::at);
    news_.insert(after, {at, std::move(record)});
  }

  void tell(const Notice& notice, Utc now) {
    std::visit(
        Match{
            [&](const PictureAdded& added) {
              const auto* object = camera_.card().find(added.handle, now);
              if (added.handle == no_picture) tell(notice.at, records::added_record(untrue_picture()));
              if (object == nullptr) return;
              const bool held = camera_.card().is_held(added.handle);
              tell(notice.at, held ? records::transfer_record(*object) : records::added_record(*object));
            },
            [](const FrameComplete&) {},
            [&](const SettingChanged& changed) {
              constexpr std::uint16_t codes[] = {records::code::shutter, records::code::aperture,
                                                 records::code::iso, records::code::drive};
              tell_property(codes[changed.value.index()], now);
            },
            [&](const OtherChanged& other) {
              tell(notice.at,
                   records::value_record(
                       {.code = other.code, .factory_default = {}, .current = std::uint32_t{1}, .form = {}}));
            }},
        notice.what);
  }

  [[nodiscard]] Bytes events(Utc now) {
    if (std::exchange(told_program_, panel_.program) != panel_.program) {
      tell_property(records::code::program, now);
      tell_property(records::code::shutter, now);
    }
    while (const auto notice = camera_.notice(now)) tell(*notice, now);
    ByteWriter told;
    while (!news_.empty() && news_.front().at <= now) {
      told.raw(news_.front().record);
      news_.pop_front();
    }
    return told.raw(records::end_record()).take();  // the driver drops what stands last
  }

  TetheredCamera& camera_;
  Panel& panel_;
  bool half_down_ = false;
  PropertySheet properties_;
  PropertySheet standard_;
  struct News {
    Utc at;
    Bytes record;
  };
  std::deque<News> news_;  // by their time
  Panel::Program told_program_ = Panel::Program::manual;
};

}  // namespace

std::unique_ptr<Dialect> family_b(TetheredCamera& camera, Panel& panel, const Traits& traits) {
  return std::make_unique<FamilyB>(camera, panel, traits);
}

}  // namespace noonfall::wire
