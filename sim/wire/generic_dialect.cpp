#include "sim/wire/dialect.h"
#include "sim/wire/ptp_codes.h"
#include "sim/wire/standard_properties.h"

#include "lib/base/match.h"

namespace noonfall::wire {
namespace {

/// A body with nothing but the standard: captures by InitiateCapture, tells by the interrupt pipe.
class GenericDialect final : public Dialect {
 public:
  GenericDialect(TetheredCamera& camera, Panel& panel, const Traits& traits)
      : Dialect{traits}, camera_{camera}, panel_{panel} {
    add_standard_properties(properties_, camera, panel, traits);
  }

  void describe(DeviceInfo& info) const override {
    info.operations.push_back(operation::initiate_capture);
    info.events = {event::object_added, event::device_prop_changed, event::capture_complete};
    info.properties = properties_.codes();
  }

  [[nodiscard]] const PropertySheet& properties() const override { return properties_; }

  [[nodiscard]] std::optional<Reply> answer(const Request& request, Utc now) override {
    if (request.code != operation::initiate_capture) return std::nullopt;
    const bool burst = camera_.settings().drive == body::Drive::continuous;
    return reply_to(camera_.release(burst ? panel_.burst : 1, Destination::card, now), now);
  }

  [[nodiscard]] std::optional<Container> event(Utc now) override {
    const auto notice = camera_.notice(now);
    if (!notice) return std::nullopt;
    const auto told = [](std::uint16_t code, const std::vector<std::uint32_t>& parameters) {
      return container(ContainerType::event, code, 0, parameters);
    };
    return std::visit(
        Match{[&](const PictureAdded& added) { return told(event::object_added, {added.handle}); },
              [&](const FrameComplete&) { return told(event::capture_complete, {}); },
              [&](const SettingChanged& changed) {
                constexpr std::uint32_t codes[] = {property::exposure_time, property::f_number,
                                                   property::exposure_index, property::still_capture_mode};
                return told(event::device_prop_changed, {codes[changed.value.index()]});
              },
              [&](const OtherChanged& other) { return told(event::device_prop_changed, {other.code}); }},
        notice->what);
  }

 private:
  TetheredCamera& camera_;
  Panel& panel_;
  PropertySheet properties_;
};

}  // namespace

std::unique_ptr<Dialect> generic_dialect(TetheredCamera& camera, Panel& panel, const Traits& traits) {
  return std::make_unique<GenericDialect>(camera, panel, traits);
}

}  // namespace noonfall::wire
