#include "daemon/cameras/simulated_source.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "lib/body/model.h"
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

  Result<body::BodySheet> sheet() override {
    body::BodySheet sheet;
    sheet.serial = own_serial;
    sheet.port = "none";
    sheet.model = profile_.name;
    sheet.family = "simulated";
    sheet.battery_percent = body_.battery_frames_left() * 100 / std::max(1, profile_.battery_frames);
    sheet.slot = body::CardSlot::holds_card;
    sheet.card = body::Card{body_.card_free(), profile_.card, false};
    sheet.saved_to = body::SavedTo::card;
    sheet.mode = body::Said<body::ExposureMode>{body::ExposureMode::manual, "M"};
    sheet.focus = body::Said<body::Focusing>{body::Focusing::by_hand, "manual"};
    sheet.drive = body::Said<body::DriveMode>{body::DriveMode::single, "single"};
    sheet.files = body::Said<body::Files>{files_, std::string{body::to_text(files_)}};
    sheet.live_view = false;
    sheet.mirror_lock_up = false;
    sheet.noise_reduction = false;
    sheet.power_off = Duration{};
    sheet.clock_offset = Duration{};
    sheet.choices = profile_.choices;
    sheet.offers_burst = !profile_.continuous.empty();
    sheet.opening = body::OpeningStamp::told;
    return sheet;
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
    found.bodies.push_back(*SimulatedAtHand{setup_}.sheet());
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
