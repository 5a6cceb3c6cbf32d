#include "daemon/cameras/simulated_source.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "lib/exposure/scale.h"

namespace noonfall::cameras {
namespace {

const std::string own_serial = "simulated";
const Utc beginning{std::chrono::hours{24 * 365 * 50}};

std::string nearest_text(auto wanted, const auto& choices) {
  const auto found = exposure::nearest(wanted, choices);
  return found && found->matches() ? exposure::to_text(found->value) : std::string{};
}

class SimulatedAtHand final : public BodyAtHand, public body::Inspection {
 public:
  explicit SimulatedAtHand(const sim::BodySetup& setup)
      : profile_{setup.profile}, files_{setup.files}, body_{setup} {}

  rig::Camera& camera() override { return body_; }
  body::Inspection& inspection() override { return *this; }
  Utc now() override { return now_; }
  void wait_until(Utc instant) override { now_ = std::max(now_, instant); }

  Result<body::Description> description() override {
    body::Description told;
    told.serial = own_serial;
    told.port = "none";
    told.model = profile_.name;
    told.family = "simulated";
    told.battery_percent = body_.battery_frames_left() * 100 / std::max(1, profile_.battery_frames);
    told.slot = body::CardSlot::holds_card;
    told.card = body::Card{body_.card_free(), profile_.card, false};
    told.saved_to = body::SavedTo::card;
    told.mode = body::Said<body::ExposureMode>{body::ExposureMode::manual, "M"};
    told.focus = body::Said<body::Focusing>{body::Focusing::by_hand, "manual"};
    told.drive = body::Said<body::DriveMode>{body::DriveMode::single, "single"};
    told.files = body::Said<body::Files>{files_, std::string{body::to_text(files_)}};
    told.live_view = false;
    told.mirror_lock_up = false;
    told.noise_reduction = false;
    told.power_off = Duration{};
    told.clock_offset = Duration{};
    told.choices = profile_.choices;
    told.offers_burst = !profile_.continuous.empty();
    told.opening = body::OpeningStamp::told;
    return told;
  }

  std::optional<Megabytes> file_size(const std::string& name) override {
    return name.ends_with(".JPG") || files_ == body::Files::jpeg ? profile_.files.jpeg : profile_.files.raw;
  }

  std::optional<body::OwnBrackets> own_brackets() override { return profile_.brackets; }

  std::vector<body::Chosen> choices_for(const exposure::Exposure& exposure) override {
    const auto& choices = profile_.choices;
    std::vector<body::Chosen> chosen{
        {to_text(exposure.shutter), nearest_text(exposure.shutter, choices.shutters)}};
    if (exposure.aperture && !choices.apertures.empty())
      chosen.push_back({to_text(*exposure.aperture), nearest_text(*exposure.aperture, choices.apertures)});
    chosen.push_back({to_text(exposure.iso), nearest_text(exposure.iso, choices.isos)});
    return chosen;
  }

 private:
  body::Profile profile_;
  body::Files files_;
  sim::SimulatedBody body_;
  Utc now_ = beginning;
};

class SimulatedSource final : public BodySource {
 public:
  explicit SimulatedSource(sim::BodySetup setup) : setup_{std::move(setup)} {}

  Result<Found> find() override {
    Found found;
    found.bodies.push_back(*SimulatedAtHand{setup_}.description());
    return found;
  }

  Result<std::unique_ptr<BodyAtHand>> open(const std::string& serial) override {
    if (serial != own_serial) {
      return fail(error_at({}, "no-body", fmt::format("no body with serial number {} is there", serial),
                           fmt::format("\"{}\"", own_serial)));
    }
    return std::make_unique<SimulatedAtHand>(setup_);
  }

 private:
  sim::BodySetup setup_;
};

}  // namespace

std::unique_ptr<BodySource> simulated_source(const sim::BodySetup& setup) {
  return std::make_unique<SimulatedSource>(setup);
}

}  // namespace noonfall::cameras
