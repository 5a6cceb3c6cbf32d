#include "daemon/cli/field_sheet.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include <fmt/format.h>

#include "daemon/cli/contacts_output.h"
#include "daemon/cli/stretched_axis.h"
#include "lib/body/model.h"
#include "lib/time/utc_text.h"
#include "lib/timeline/print.h"
#include "lib/timeline/relative_text.h"

namespace noonfall::cli {
namespace {

using contacts::Kind;
using timeline::RigTimeline;
using timeline::Timeline;

/// "0.31 left, 0.04 up"
std::string place_text(const timeline::FramePlace& place) {
  if (std::max(std::abs(place.right), std::abs(place.up)) < 0.005) return "in the middle";
  return fmt::format("{:.2f} {}, {:.2f} {}", std::abs(place.right), place.right < 0 ? "left" : "right",
                     std::abs(place.up), place.up < 0 ? "down" : "up");
}

std::string direction(const timeline::Pointing& at) {
  return fmt::format("{:.1f}° high, azimuth {:.1f}°", at.altitude.value, at.azimuth.value);
}

class Writer {
 public:
  Writer(const Timeline& timeline, const plan::Plan& plan, const LocalClock& local)
      : timeline_{timeline}, plan_{plan}, local_{local} {}

  FieldSheet write() const {
    FieldSheet sheet;
    sheet.title = timeline_.title.empty() ? "Untitled plan" : timeline_.title;
    sheet.about = about();
    sheet.safety = safety();
    for (auto part : {contact_times(), filter_times(), hands(), settings(), checklist()})
      if (!part.rows.empty() || !part.lines.empty()) sheet.parts.push_back(std::move(part));
    return sheet;
  }

 private:
  [[nodiscard]] const contacts::Circumstances& sky() const { return timeline_.circumstances; }
  [[nodiscard]] std::string clock(Utc at) const { return clock_text(at, local_); }
  /// Whole seconds on the side on which the filter is on.
  [[nodiscard]] std::string not_before(Utc at) const {
    return clock(std::chrono::ceil<std::chrono::seconds>(at));
  }
  [[nodiscard]] std::string not_after(Utc at) const {
    return clock(std::chrono::floor<std::chrono::seconds>(at));
  }

  static std::string of_person(const RigTimeline& rig) {
    return rig.person.empty() ? rig.name : fmt::format("{} ({})", rig.name, rig.person);
  }

  [[nodiscard]] std::string about() const {
    const auto& site = sky().site;
    const auto length = sky().kind == Kind::total
                            ? fmt::format(", totality {}", timeline::rounded_text(sky().totality()))
                            : std::string{};
    return fmt::format("{}, {} at {:.4f}, {:.4f}{}. Times are {}.", noonfall::to_text(sky().eclipse),
                       contacts::to_text(sky().kind), site.latitude.value, site.longitude.value, length,
                       local_ ? timeline_.zone : "UTC");
  }

  [[nodiscard]] std::vector<std::string> safety() const {
    const bool any = std::any_of(timeline_.rigs.begin(), timeline_.rigs.end(),
                                 [](const RigTimeline& rig) { return rig.window.has_value(); });
    return {
        "Looking at the Sun, or through a lens or finder aimed at it, can blind you; an unfiltered lens can "
        "burn "
        "shutter, sensor and finder.",
        any ? "Camera filters are on but for the times below. If in doubt, camera filter on."
            : "Camera filters stay on throughout.",
        "This sheet is about cameras. For your eyes, local rules and eye-care advice come first."};
  }

  [[nodiscard]] SheetPart contact_times() const {
    SheetPart part{.heading = "Contacts", .head = {"", "", "time", "known to", "Sun's height", "azimuth"}};
    for (const auto name : contacts::all_contacts) {
      const auto& contact = sky().at(name);
      if (!contact) continue;
      part.rows.push_back({std::string{contacts::to_text(name)},
                           std::string{timeline::meaning_of(name, sky().kind)}, clock(contact->utc),
                           fmt::format("{:.1f} s", in_seconds(contact->uncertainty)),
                           fmt::format("{:.0f}°", contact->apparent_altitude.value),
                           fmt::format("{:.0f}°", contact->azimuth.value)});
    }
    return part;
  }

  [[nodiscard]] SheetPart filter_times() const {
    SheetPart part{"Camera filters",
                   {"rig", "camera filter off", "frames from", "frames until", "back on by"},
                   {},
                   {},
                   false};
    for (const auto& rig : timeline_.rigs) {
      if (!rig.window) {
        part.lines.push_back(fmt::format("{}: {}", rig.name, timeline::no_window_text(rig)));
        continue;
      }
      part.rows.push_back({of_person(rig), not_before(rig.window->opens), not_before(rig.window->usable_from),
                           not_after(rig.window->usable_until), not_after(rig.window->closes)});
    }
    return part;
  }

  [[nodiscard]] SheetPart hands() const {
    SheetPart part{"Hands, and where to point",
                   {"from", "until", "rig", "what", "point at", "Sun in the frame"},
                   {},
                   {},
                   false};
    for (std::size_t n = 0; n < timeline_.rigs.size(); ++n) {
      for (const auto* aiming : aimings(n)) {
        if (aiming->span) continue;
        part.rows.push_back({"", not_after(aiming->until), of_person(timeline_.rigs[n]), "set up and aim",
                             direction(aiming->pointing), place_text(aiming->sun_at_end)});
      }
    }
    std::vector<std::size_t> by_time(timeline_.hands_on.size());
    std::iota(by_time.begin(), by_time.end(), 0);
    std::stable_sort(by_time.begin(), by_time.end(), [&](std::size_t a, std::size_t b) {
      return timeline_.hands_on[a].from < timeline_.hands_on[b].from;
    });
    for (const auto span : by_time) {
      const auto& hands = timeline_.hands_on[span];
      std::vector<std::string> row{clock(hands.from),
                                   not_after(hands.until),
                                   of_person(timeline_.rigs[hands.rig]),
                                   hands.name,
                                   direction(timeline::pointing_at(sky(), hands.aim.value_or(hands.until))),
                                   ""};
      for (const auto* aiming : aimings(hands.rig)) {
        if (aiming->span != span) continue;
        row[4] = direction(aiming->pointing);
        row[5] = place_text(aiming->sun_at_end);
      }
      part.rows.push_back(std::move(row));
    }
    const bool aimed =
        std::any_of(part.rows.begin(), part.rows.end(), [](const auto& row) { return !row[5].empty(); });
    if (aimed)
      part.lines.emplace_back(
          "\"Sun in the frame\": where it stands when the hands go off, from the middle, in frame widths and "
          "heights, "
          "the camera level. It then drifts through the middle.");
    if (!aimed) {
      for (auto& row : part.rows) row.pop_back();
      part.head.pop_back();
    }
    return part;
  }

  [[nodiscard]] std::vector<const timeline::Aiming*> aimings(std::size_t rig) const {
    std::vector<const timeline::Aiming*> all;
    if (const auto& framing = timeline_.rigs[rig].framing)
      for (const auto& aiming : framing->aimings) all.push_back(&aiming);
    return all;
  }

  /// Those of rigs by hand, and the apertures that a body can't set.
  [[nodiscard]] SheetPart settings() const {
    SheetPart part{.heading = "Settings by hand", .head = {"from", "rig", "step", "settings"}};
    for (const auto& rig : timeline_.rigs) {
      if (!rig.by_hand) {
        if (!rig.profile.choices.apertures.empty()) continue;
        if (const auto aperture = ring_setting(rig.name))
          part.rows.push_back({"before", rig.name, "", *aperture + " on the lens"});
        continue;
      }
      for (const auto& step : rig.steps) {
        const auto sets =
            step.back_to_back ? static_cast<std::size_t>(step.predicted_sets) : step.targets.size();
        part.rows.push_back(
            {clock(step.first_opening()), of_person(rig), step.name,
             timeline::set_text(step.shapes.front()) +
                 (sets > 1 ? fmt::format(", {} times until {}", sets, clock(step.last_closing())) : "")});
      }
    }
    return part;
  }

  [[nodiscard]] std::optional<std::string> ring_setting(const std::string& rig) const {
    for (const auto& planned : plan_.rigs) {
      if (planned.name == rig && planned.exposure.aperture)
        return exposure::to_text(planned.exposure.aperture->low);
    }
    return std::nullopt;
  }

  [[nodiscard]] SheetPart checklist() const {
    SheetPart part{.heading = "Checklist", .to_tick = true};
    auto& lines = part.lines;
    for (const auto& rig : timeline_.rigs) {
      const int frames = rig.predicted_frames();
      const auto focal = focal_length(rig.name);
      if (rig.by_hand) {
        lines.push_back(fmt::format("{}: {} on, card and battery in, by hand", rig.name, focal));
        continue;
      }
      const auto battery =
          rig.profile.battery_frames > 0
              ? fmt::format(", {:.0f} % of a full battery", 100.0 * frames / rig.profile.battery_frames)
              : std::string{};
      lines.push_back(fmt::format("{}: {} on, cable in; {} frames need {:.1f} GB on the card{}", rig.name,
                                  focal, frames,
                                  frames * body::frame_size(rig.profile, rig.files).value / 1000, battery));
    }
    for (const auto& rig : timeline_.rigs)
      if (rig.has_filter)
        lines.push_back(fmt::format(
            "{}: camera filter on the front of the lens, where wind can't take it and one hand can",
            rig.name));
    lines.emplace_back(
        "Cameras on manual exposure and manual focus; stabilisation, auto power off and noise reduction off");
    lines.emplace_back("Focused on the Sun's edge through the filter; focus ring taped");
    lines.emplace_back("The computer's clock is right, its power supply in, its screen shaded");
    lines.emplace_back("Tripods weighted, cables strain-relieved, the plan rehearsed here once");
    lines.emplace_back("After the last filter is back on: nothing packed before C4, cards out first");
    return part;
  }

  [[nodiscard]] std::string focal_length(const std::string& rig) const {
    for (const auto& planned : plan_.rigs)
      if (planned.name == rig) return fmt::format("{:g} mm", planned.focal_length.value);
    return "lens";
  }

  const Timeline& timeline_;
  const plan::Plan& plan_;
  const LocalClock& local_;
};

}  // namespace

FieldSheet field_sheet(const Timeline& timeline, const plan::Plan& plan, const LocalClock& local) {
  return Writer{timeline, plan, local}.write();
}

}  // namespace noonfall::cli
