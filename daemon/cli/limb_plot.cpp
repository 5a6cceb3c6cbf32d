#include "daemon/cli/limb_plot.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "daemon/cli/plot_frame.h"

namespace noonfall::cli {
namespace {

using contacts::ContactName;
using contacts::Kind;

constexpr double moment_s = 5;  // how far outside totality the shaded sunlight is
constexpr double close_up_deg = 30;
constexpr Frame whole_frame{90, 110, 1420, 250};
constexpr Frame c2_frame{90, 450, 670, 410};
constexpr Frame c3_frame{840, 450, 670, 410};

constexpr std::string_view c2_colour = "#c75000";
constexpr std::string_view c3_colour = "#0a62a8";

struct Side {
  ContactName name;
  double t;     // hours
  double away;  // seconds to the moment outside
  std::string_view colour;
  std::vector<limb::Bead> beads;
};

Side side_of(const ContactsAnswer& answer, ContactName name) {
  const bool first = name == ContactName::c2;
  return {name, first ? answer.limb.longest.from : answer.limb.longest.until, first ? -moment_s : moment_s,
          first ? c2_colour : c3_colour, beads(answer.limb, name)};
}

class Plot {
 public:
  explicit Plot(const ContactsAnswer& answer) : answer_(answer), edges_(*answer.limb.edges) {}

  std::string svg() {
    const auto c2 = side_of(answer_, ContactName::c2);
    const auto c3 = side_of(answer_, ContactName::c3);
    out_ = svg_begin(1600, 940);
    titles();
    whole(c2, c3);
    close_up(c2_frame, c2);
    close_up(c3_frame, c3);
    out_ +=
        svg_text(90, 922, 15, "start", "#333",
                 "Position angles run around the Moon's centre, from celestial north through east. Geometry "
                 "alone: how long a bead shows depends on the exposure. Camera filter on outside totality.");
    return out_ + "</svg>\n";
  }

 private:
  void titles() {
    const auto& found = answer_.circumstances();
    out_ += svg_text(90, 42, 26, "start", "#111",
                     fmt::format("The Moon's edge, {} eclipse of {}, seen from {:.4f}, {:.4f}",
                                 contacts::to_text(found.kind), to_text(found.eclipse),
                                 found.site.latitude.value, found.site.longitude.value));
    out_ += svg_text(
        90, 70, 16, "start", "#333",
        fmt::format("C2 {} UTC, C3 {} UTC. Heights in arcseconds over a smooth Moon of k {:g}; solar "
                    "radius {:.2f}\" at 1 au",
                    to_clock_text(found.at(ContactName::c2)->utc, 1),
                    to_clock_text(found.at(ContactName::c3)->utc, 1), answer_.elements.k2,
                    answer_.settings.solar_radius.value));
  }

  /// Numbers of the edge from one angle to another, around 360 too.
  static std::vector<int> numbers(double from_deg, double to_deg) {
    constexpr double step = 360.0 / limb::edge_count;
    std::vector<int> list;
    for (int n = static_cast<int>(std::ceil(from_deg / step)); n * step <= to_deg + 1e-9; ++n)
      list.push_back(n);
    return list;
  }
  static std::size_t wrapped(int n) {
    constexpr int count = limb::edge_count;
    return static_cast<std::size_t>((n % count + count) % count);
  }
  static double degrees_at(int n) { return n * 360.0 / limb::edge_count; }

  Curve moon(const std::vector<int>& list, double t) const {
    Curve curve;
    for (const int n : list)
      curve.push_back({degrees_at(n), edges_.moon_height(wrapped(n), t, answer_.elements.k2)});
    return curve;
  }
  Curve sun(const std::vector<int>& list, double t) const {
    Curve curve;
    for (const int n : list)
      curve.push_back({degrees_at(n), edges_.sun_height(wrapped(n), t, answer_.elements.k2)});
    return curve;
  }

  static Axes axes_for(const Frame& frame, double from, double to, const Curve& moon) {
    const auto [low, high] = std::minmax_element(
        moon.begin(), moon.end(), [](const CurvePoint& a, const CurvePoint& b) { return a.y < b.y; });
    return {frame, from, to, std::floor(low->y - 0.6), std::ceil(high->y + 0.9)};
  }

  [[nodiscard]] double zenith() const {
    const auto& contact = *answer_.circumstances().at(ContactName::c2);
    return contacts_in_circle(contact.position_angle.value - contact.vertex_angle.value);
  }
  static double contacts_in_circle(double angle) { return angle - 360 * std::floor(angle / 360); }

  void whole(const Side& c2, const Side& c3) {
    const auto list = numbers(0, 360);
    const auto edge = moon(list, (c2.t + c3.t) / 2);
    const auto axes = axes_for(whole_frame, 0, 360, edge);
    out_ += svg_grid(axes, 30, "Whole edge");
    out_ += svg_area(axes, edge, "#45454f");
    for (const auto* side : {&c2, &c3}) {
      out_ += svg_line(axes, sun(list, side->t), side->colour, "");
      mark_contact(axes, *side);
    }
    out_ += svg_upright(axes, zenith(), "#2f7d32", "zenith", 1);
  }

  void mark_contact(const Axes& axes, const Side& side) {
    const auto extreme =
        answer_.circumstances().kind == Kind::total ? edges_.highest_gap(side.t) : edges_.lowest_gap(side.t);
    out_ += svg_upright(axes, limb::edge_angle(extreme.n).value, side.colour, to_text(side.name));
  }

  void close_up(const Frame& frame, const Side& side) {
    const auto extreme =
        answer_.circumstances().kind == Kind::total ? edges_.highest_gap(side.t) : edges_.lowest_gap(side.t);
    const double middle = std::round(limb::edge_angle(extreme.n).value / 5) * 5;
    const auto list = numbers(middle - close_up_deg, middle + close_up_deg);
    const auto edge = moon(list, side.t);
    const auto axes = axes_for(frame, middle - close_up_deg, middle + close_up_deg, edge);
    const auto words =
        fmt::format("{}: the Sun's edge (line), sunlight {:g} s {} (yellow), beads and their seconds",
                    to_text(side.name), moment_s, side.away < 0 ? "before" : "after");
    out_ += svg_grid(axes, 10, words);
    out_ += svg_area(axes, sun(list, side.t + side.away / 3600), "#ffd84d");
    out_ += svg_area(axes, edge, "#45454f");
    out_ += svg_line(axes, sun(list, side.t), side.colour, "");
    for (const double turn : {-360.0, 0.0, 360.0}) {
      if (axes.has(zenith() + turn)) out_ += svg_upright(axes, zenith() + turn, "#2f7d32", "zenith");
    }
    dots(axes, side);
  }

  /// The beads nearest to the contact are labelled first, as far as there is room in the dark beneath.
  void dots(const Axes& axes, const Side& side) {
    auto list = side.beads;
    std::sort(list.begin(), list.end(), [](const limb::Bead& a, const limb::Bead& b) {
      return std::abs(in_seconds(a.after_contact)) < std::abs(in_seconds(b.after_contact));
    });
    Labels labels{axes.frame};
    std::vector<std::pair<CurvePoint, std::string>> words;  // where the dot is, in the picture
    for (const auto& bead : list) {
      for (const double turn : {-360.0, 0.0, 360.0}) {
        const CurvePoint at{limb::edge_angle(bead.n).value + turn,
                            edges_.moon_height(bead.n, side.t, answer_.elements.k2)};
        if (!axes.has(at.x)) continue;
        out_ += svg_dot(axes, at, side.colour);
        const CurvePoint dot{axes.x(at.x), axes.y(at.y)};
        labels.keep_off(dot);
        words.emplace_back(dot, fmt::format("{:+.1f}", in_seconds(bead.after_contact) + 0.0));
      }
    }
    for (const auto& [dot, text] : words) {
      const auto y = labels.room_below(dot, lowest_edge(axes, side, dot.x));
      if (y) out_ += svg_label(dot.x, *y, text);
    }
  }

  /// The deepest the Moon's edge goes above a label, in the picture.
  [[nodiscard]] double lowest_edge(const Axes& axes, const Side& side, double x) const {
    const double half = Labels::half_width / axes.frame.width * (axes.to - axes.from);
    const double middle = axes.from + (x - axes.frame.left) / axes.frame.width * (axes.to - axes.from);
    double lowest = axes.frame.top;
    for (const auto& point : moon(numbers(middle - half, middle + half), side.t))
      lowest = std::max(lowest, axes.y(point.y));
    return lowest;
  }

  const ContactsAnswer& answer_;
  const limb::Edges& edges_;
  std::string out_;
};

}  // namespace

std::string limb_plot_svg(const ContactsAnswer& answer) {
  return Plot{answer}.svg();
}

}  // namespace noonfall::cli
