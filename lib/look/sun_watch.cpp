#include "lib/look/sun_watch.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "lib/exposure/brightness.h"
#include "lib/time/utc_text.h"

namespace noonfall::look {
namespace {

/// The Sun's disc as the exposure table has it, of a full picture.
const double table_light = exposure::middle_grey * std::exp2(exposure::disc_above_grey.value);

constexpr double seen_anyway = 0.05;  // a frame exposed for so much light isn't black by itself
constexpr double little_room = 0.03;  // of the frame's width
constexpr double meant_full = 0.75;   // brighter than this, a frame was meant to be full
constexpr double much_clipped = 0.3;  // of the bright part; less takes hardly a hundredth from its mean
constexpr double least_light = 0.02;  // measured well from here…
constexpr int least_pixels = 60;      // of fewer, too many lie at the edge
constexpr double least_left = 0.2;    // of the Sun: a thinner crescent is lost between pixels
constexpr std::size_t sharp_sights = 3;
constexpr double softer = 0.6;        // of the steepness of sharp ones
constexpr double worth_a_trim = 0.5;  // stops
constexpr double worth_a_word = 0.25;
constexpr double much_scatter = 0.3;
constexpr std::size_t recent = 6;  // points that scatter is judged by
constexpr double most_trim = 6;

/// Where the camera has to be turned for the Sun to come away from there.
std::string_view turn_to(Side side) {
  constexpr std::array<std::string_view, 4> ways{"to the left", "to the right", "up", "down"};
  return ways[static_cast<std::size_t>(side)];
}

std::string minute_of(Utc at) {
  return to_text_us(at).substr(11, 5) + " UTC";
}

double in_thirds(double stops) {
  return std::round(stops * 3) / 3;
}

bool measures_light(const Sight& sight) {
  const auto& seen = sight.seen;
  return seen.pixels >= least_pixels && seen.clipped < much_clipped && seen.brightness >= least_light &&
         !seen.is_cut_off() && sight.light_left >= least_left;
}

}  // namespace

Finding SunWatch::take(const Sight& sight, double trim) {
  if (measures_light(sight))
    points_.push_back(
        {sight.at, sight.airmass, {std::log2(sight.seen.brightness / table_light) - sight.exposed.value}});
  auto finding = judge(sight, trim);
  // A cloud may have passed: nobody is sent for one picture.
  if (finding.trouble == Trouble::black) finding.hands = before_ == Trouble::black;
  before_ = finding.trouble;
  if (!sight.seen.is_black()) last_side_ = sight.seen.side;
  return finding;
}

Finding SunWatch::judge(const Sight& sight, double trim) {
  if (auto finding = judge_place(sight)) return *finding;
  const double meant = table_light * std::exp2(sight.exposed.value);
  if (sight.seen.clipped >= much_clipped && meant <= meant_full) {
    const double least = std::log2(1 / meant);
    return {
        .trouble = Trouble::too_bright,
        .words = fmt::format("the Sun is full where it shouldn't be: at least {:.1f} stop too bright", least),
        .trim = -std::max(1.0, in_thirds(least))};
  }
  if (auto finding = judge_focus(sight)) return *finding;
  return judge_light(sight, trim);
}

std::optional<Finding> SunWatch::judge_place(const Sight& sight) const {
  const auto& seen = sight.seen;
  if (seen.is_black()) {
    if (table_light * std::exp2(sight.exposed.value) * sight.light_left < seen_anyway) return std::nullopt;
    const auto where =
        last_side_ ? fmt::format(", where it was last nearest to the {} edge", to_text(*last_side_)) : "";
    return Finding{
        .trouble = Trouble::black,
        .words = "black: the cap is on, a cloud is before the Sun, or the Sun is out of the frame" + where};
  }
  const auto edge = to_text(seen.side);
  const auto turn = turn_to(seen.side);
  if (seen.is_cut_off())
    return Finding{.trouble = Trouble::cut_off,
                   .words = fmt::format("the Sun is cut off by the {} edge of the frame: turn the camera {}",
                                        edge, turn),
                   .hands = true};
  if (seen.room < little_room)
    return Finding{
        .trouble = Trouble::near_side,
        .words = fmt::format("the Sun is near the {} edge of the frame; the camera may have to be turned {}",
                             edge, turn)};
  return std::nullopt;
}

std::optional<Finding> SunWatch::judge_focus(const Sight& sight) {
  const auto& seen = sight.seen;
  if (seen.is_black() || seen.clipped >= much_clipped) return std::nullopt;
  if (edges_.size() < sharp_sights) {
    edges_.push_back(seen.edge);
    return std::nullopt;
  }
  auto sorted = edges_;
  std::sort(sorted.begin(), sorted.end());
  soft_ = seen.edge < softer * sorted[sharp_sights / 2] ? soft_ + 1 : 0;
  if (soft_ < 2) return std::nullopt;
  return Finding{.trouble = Trouble::soft,
                 .words = "the Sun's edge is softer than it was at first: look at the focus",
                 .hands = true};
}

/// The first of the latest points that are all off to that side.
Utc SunWatch::since(double from_stops, bool dark, double trim) const {
  Utc out = points_.back().at;
  for (auto point = points_.rbegin(); point != points_.rend(); ++point) {
    const double off = point->brighter.value + trim;
    if ((dark ? -off : off) < from_stops) break;
    out = point->at;
  }
  return out;
}

Finding SunWatch::judge_light(const Sight& sight, double trim) const {
  const auto all = light();
  if (!all) return {.words = "the Sun is well in the frame"};
  const auto latest = points_.size() - std::min(points_.size(), recent);
  double squares = 0;
  for (auto n = latest; n < points_.size(); ++n) {
    const double off = points_[n].brighter.value + all->dark_at(points_[n].airmass).value;
    squares += off * off;
  }
  const double scatter = std::sqrt(squares / static_cast<double>(points_.size() - latest));
  const auto law = fmt::format("filter {:+.1f} stop, extinction {:.2f} mag per airmass", -all->dark.value,
                               all->magnitudes_per_airmass);
  if (scatter >= much_scatter)
    return {.trouble = Trouble::cloud,
            .words = fmt::format("the light comes and goes by {:.1f} stop: thin cloud", scatter)};
  const double off = -all->dark_at(sight.airmass).value + trim;
  if (std::abs(off) < worth_a_trim)
    return {.words = "the Sun is well in the frame, its light as computed: " + law};
  const bool dark = off < 0;
  const double mend = std::clamp(in_thirds(-off), -most_trim - trim, most_trim - trim);
  return {.trouble = dark ? Trouble::dark : Trouble::bright,
          .words = fmt::format("{:.1f} stop {} since {}: {}", std::abs(off), dark ? "dark" : "bright",
                               minute_of(since(worth_a_word, dark, trim)), law),
          .trim = mend};
}

}  // namespace noonfall::look
