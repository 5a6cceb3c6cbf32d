#include "sim/wire/dialect.h"
#include "sim/wire/ptp_codes.h"
#include "sim/wire/standard_properties.h"

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
    static const PipeCodes codes{.added = event::object_added,
                                 .complete = event::capture_complete,
                                 .changed = event::device_prop_changed,
                                 .settings = {property::exposure_time, property::f_number,
                                              property::exposure_index, property::still_capture_mode}};
    return told_by_pipe(camera_, codes, now);
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
