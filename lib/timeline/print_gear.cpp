#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "lib/base/code_points.h"
#include "lib/base/sun.h"
#include "lib/body/model.h"
#include "lib/body/profile_text.h"
#include "lib/time/utc_text.h"
#include "lib/timeline/print.h"
#include "lib/timeline/relative_text.h"

namespace noonfall::timeline {
namespace {

/// "0.31 left, 0.04 above"; the middle of the frame is neither.
std::string place_text(const FramePlace& place) {
  const auto away = [](double by, const char* positive, const char* negative) {
    return fmt::format("{:.2f} {}", std::abs(by), by < 0 ? negative : positive);
  };
  const bool outside = std::max(std::abs(place.right), std::abs(place.up)) > 0.5;
  return away(place.right, "right", "left") + ", " + away(place.up, "above", "below") +
         (outside ? ", outside" : "");
}

class GearPrinter {
 public:
  GearPrinter(const Timeline& timeline, const LocalClock& local) : timeline_{timeline}, local_{local} {}

  std::string print() {
    line("");
    for (const auto& rig : timeline_.rigs) add_totals(rig);
    for (const auto& rig : timeline_.rigs)
      if (rig.corona) add_corona(rig.name, *rig.corona);
    for (const auto& rig : timeline_.rigs)
      if (rig.framing && !rig.framing->aimings.empty()) add_aimings(rig);
    return std::move(text_);
  }

 private:
  template <class... Args>
  void line(fmt::format_string<Args...> format, Args&&... args) {
    auto made = fmt::format(format, std::forward<Args>(args)...);
    made.erase(made.find_last_not_of(' ') + 1);
    text_ += made + '\n';
  }

  void add_totals(const RigTimeline& rig) {
    if (rig.by_hand)
      line("{}: by hand, cues only", rig.name);
    else
      add_frames(rig);
    if (rig.framing) add_sizes(*rig.framing);
  }

  void add_frames(const RigTimeline& rig) {
    const int frames = rig.predicted_frames();
    const double gigabytes = frames * body::frame_size(rig.profile, rig.files).value / 1000;
    const auto battery =
        rig.profile.battery_frames > 0
            ? fmt::format(", {:.0f} % of a battery", 100.0 * frames / rig.profile.battery_frames)
            : std::string{};
    line("{}: about {} frames, {:.1f} of the card's {:.0f} GB{}", rig.name, frames, gigabytes,
         rig.profile.card.value / 1000, battery);
    add_shutter(rig);
  }

  /// What each type is known for: common practice, no source.
  void add_shutter(const RigTimeline& rig) {
    const auto& types = rig.profile.shutter_types;
    if (types.empty()) return;
    std::string known;
    if (!rig.framing)
      known = "";
    else if (types.front() == body::ShutterType::mechanical)
      known = "its blow shakes a long lens at 1/125 to 1/4 s";
    else if (types.front() == body::ShutterType::electronic_first_curtain)
      known = "it may expose unevenly at 1/2000 and shorter";
    else if (rig.profile.rolling_readout > Duration{})
      known = fmt::format("its rows are read in {}, those of the Sun in {}",
                          rounded_text(rig.profile.rolling_readout),
                          rounded_text(readout_over_sun(rig.profile, *rig.framing)));
    else
      known = "how fast its rows are read the profile doesn't say";
    line("  {} shutter{}{}", body::to_text(types.front()), known.empty() ? "" : ": ", known);
  }

  void add_sizes(const Framing& framing) {
    const double arcseconds_a_pixel = 2 * auwers_solar_radius.value / framing.sun_pixels;
    line(
        "  the Sun is {:.1f} mm, {:.0f} pixels of {:.2f}\", in a field of {:.2f}° x {:.2f}°; {:.1f} radii of "
        "corona fit",
        framing.sun.value, framing.sun_pixels, arcseconds_a_pixel, framing.width.value, framing.height.value,
        framing.corona_radii);
    if (framing.untrailed && framing.on_film)
      line("  fixed mount: {:.2g} s trail by a pixel; by the rule of film, 340 / focal length, {:.2g} s",
           framing.untrailed->value, framing.on_film->value);
  }

  void add_corona(const std::string& rig, const CoronaSignal& corona) {
    line("");
    line("{}: signal to noise of the corona, per pixel, when stacked", rig);
    line("  radii above the limb {}", columns(corona.planned, [](const auto& each) { return each.radii; }));
    const auto to_noise = [](const auto& each) { return std::round(each.to_noise); };
    line("  as planned           {}", columns(corona.planned, to_noise));
    line("  equal steps of 2     {}", columns(corona.equal_steps, to_noise));
  }

  template <class Value>
  static std::string columns(const std::vector<ladder::Signal>& signals, Value value) {
    std::string text;
    for (const auto& signal : signals) text += fmt::format("{:>6}", value(signal));
    return text;
  }

  [[nodiscard]] std::string clocks(Utc at) const {
    return fmt::format("{:<12}", to_clock_text(at)) + (local_ ? fmt::format("{:<12}", local_(at)) : "");
  }
  [[nodiscard]] std::string relative(Utc at) const { return relative_text(at, timeline_.circumstances); }

  void add_aimings(const RigTimeline& rig) {
    line("");
    line("{}: where to aim, and where the Sun is in the frame when the hands go off (in frame widths and",
         rig.name);
    line("heights from its middle, the camera level)");
    line("  {:<12}{}{:<22}{:<22}{:>8}{:>9}  {}", "hands off", local_ ? "local       " : "", "",
         "Sun centred at", "altitude", "azimuth", "the Sun then");
    for (const auto& aiming : rig.framing->aimings) {
      line("  {}{:<22}{:<22}{:>7.1f}°{:>8.1f}°  {}", clocks(aiming.until),
           aiming.span ? relative(aiming.until) : "before all", relative(aiming.centred),
           aiming.pointing.altitude.value, aiming.pointing.azimuth.value, place_text(aiming.sun_at_end));
    }
    line("");
    std::size_t widest = 4;
    for (const auto& step : rig.steps) widest = std::max(widest, code_points(step.name));
    line("{}: the way of the Sun through the frame", rig.name);
    for (const auto& step : rig.steps) {
      if (!step.passage) continue;
      line("  {}{}  from {} to {}, {:.1f} radii from an edge at least", step.name,
           std::string(widest - code_points(step.name), ' '), place_text(step.passage->first),
           place_text(step.passage->last), step.passage->room);
    }
  }

  const Timeline& timeline_;
  const LocalClock& local_;
  std::string text_;
};

}  // namespace

std::string gear_text(const Timeline& timeline, const LocalClock& local) {
  return GearPrinter{timeline, local}.print();
}

}  // namespace noonfall::timeline
