#include <algorithm>
#include <array>

#include "lib/report/drawing.h"
#include "lib/report/page_parts.h"
#include "lib/report/words.h"

namespace noonfall::report {
namespace {

using namespace std::chrono_literals;

constexpr double width = 1000;
constexpr double left = 66;
constexpr double right = 8;
constexpr double top = 52;
constexpr double lane_height = 98;

class Picture {
 public:
  Picture(const Summary& summary, const LocalClock& local, Utc from, Utc until)
      : summary_{summary}, local_{local}, from_{from}, until_{std::max(until, from + 1s)} {}

  [[nodiscard]] std::string draw() {
    const auto rigs = summary_.header.rigs.size();
    bottom_ = top + lane_height * static_cast<double>(rigs);
    add_totality();
    add_ticks();
    double y = top;
    for (const auto& rig : summary_.header.rigs) {
      add_rig(rig, y);
      y += lane_height;
    }
    add_contacts();
    return drawing(width, bottom_ + 26, "Planned and shot through time", out_, highest_name_ - 16);
  }

 private:
  [[nodiscard]] double x(Utc at) const {
    const auto inside = std::clamp(at, from_, until_);
    return left + (width - left - right) * (in_seconds(inside - from_) / in_seconds(until_ - from_));
  }
  [[nodiscard]] bool shows(Utc from, Utc until) const { return until >= from_ && from <= until_; }

  [[nodiscard]] std::optional<Utc> contact(contacts::ContactName name) const {
    for (const auto& each : summary_.header.contacts)
      if (each.name == name) return each.utc;
    return std::nullopt;
  }

  void add_totality() {
    const auto c2 = contact(contacts::ContactName::c2);
    const auto c3 = contact(contacts::ContactName::c3);
    if (c2 && c3 && shows(*c2, *c3)) out_ += box(x(*c2), top, x(*c3) - x(*c2), bottom_ - top, "dark");
  }

  void add_ticks() {
    constexpr std::array steps{1s, 2s, 5s, 10s, 15s, 30s, 60s, 120s, 300s, 600s, 900s, 1800s, 3600s};
    constexpr int most = 9;
    std::chrono::seconds step = steps.back();
    for (auto each = steps.rbegin(); each != steps.rend(); ++each)
      if ((until_ - from_) / *each <= most) step = *each;
    while ((until_ - from_) / step > most) step *= 2;  // a log may say that it took years
    const auto since = std::chrono::ceil<std::chrono::seconds>(from_).time_since_epoch();
    auto at = Utc{(since + step - 1s) / step * step};
    for (; at <= until_; at += step) {
      out_ += stroke(x(at), top, x(at), bottom_, "grid");
      if (x(at) < width - 30)
        out_ += label(x(at), bottom_ + 17, clock_text(at, local_).substr(0, 8), "middle", "soft");
    }
  }

  /// Names in as many rows as they need to stand clear of each other.
  void add_contacts() {
    std::array<double, 3> free_from{};
    std::string names;  // over the lines
    for (const auto& each : summary_.header.contacts) {
      if (each.utc < from_ || each.utc > until_) continue;
      const auto words = fmt::format("{} {}", contacts::to_text(each.name), clock_text(each.utc, local_));
      const double half = width_of(words) / 2;
      const double middle = std::clamp(x(each.utc), half, width - half);
      auto row =
          std::find_if(free_from.begin(), free_from.end(), [&](double from) { return middle - half > from; });
      if (row == free_from.end()) --row;
      *row = middle + half + 6;
      const double y = top - 8 - 14 * static_cast<double>(row - free_from.begin());
      out_ += stroke(x(each.utc), y + 3, x(each.utc), bottom_, "contact");
      highest_name_ = std::min(highest_name_, y);
      names += label(middle, y, words, "middle", "halo");
    }
    out_ += names;
  }

  void add_rig(const shotlog::PlannedRig& rig, double y) {
    out_ += stroke(0, y, width - right, y, "grid");
    out_ += label(0, y + 17, rig.rig, "start", "rig", 13);
    out_ += label(left - 10, y + 42, rig.body.empty() ? "by hand" : "shot", "end", "soft", 11);
    out_ += label(left - 10, y + 66, "planned", "end", "soft", 11);
    out_ += label(left - 10, y + 86, "filter", "end", "soft", 11);
    add_shot(rig.rig, y + 28);
    for (const auto& step : rig.steps) add_step(step, y + 54);
    add_filter(rig, y + 78);
  }

  /// One rectangle for all frames between which nothing could be seen.
  void add_shot(const std::string& rig, double y) {
    constexpr double visible = 0.5;
    struct Run {
      double from = 0;
      double to = -1;
      bool filtered = true;
    } run;
    const auto flush = [&] {
      if (run.to > run.from)
        out_ += box(run.from, y, run.to - run.from, 20, run.filtered ? "filtered" : "shot");
      run.to = -1;
    };
    std::string others;
    double last_other = -10;
    for (const auto& mark : summary_.detail.marks) {
      if (mark.rig != rig || !shows(mark.from, mark.until)) continue;
      const double from = x(mark.from);
      const double to = std::max(x(mark.until), from + 0.8);
      if (mark.fate != Fate::shot) {
        if (from - last_other < 1.5) continue;
        last_other = from;
        others += mark.fate == Fate::missed
                      ? stroke(from - 3, y - 8, from + 3, y - 2, "missed") +
                            stroke(from - 3, y - 2, from + 3, y - 8, "missed")
                      : fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"3\" class=\"unknown\"/>\n", from,
                                    y - 5);
        continue;
      }
      const bool goes_on = run.to >= 0 && run.filtered == mark.filtered && from <= run.to + visible;
      if (!goes_on) {
        flush();
        run = {from, to, mark.filtered};
      }
      run.to = std::max(run.to, to);
    }
    flush();
    out_ += others;
  }

  void add_step(const shotlog::PlannedStep& step, double y) {
    if (step.frames == 0 || !shows(step.from, step.until)) return;
    const double from = x(step.from);
    const double wide = std::max(x(step.until) - from, 1.5);
    out_ += box(from, y, wide, 16, "planned", step.step);
    if (width_of(step.step) < wide) out_ += label(from + wide / 2, y + 12, step.step, "middle", "", 11);
  }

  /// From the log's beginning, at which nothing is known; of a rig of whose filter the log says something.
  void add_filter(const shotlog::PlannedRig& rig, double y) {
    const auto& story = summary_.detail.story;
    if (story.empty()) return;
    auto state = shotlog::FilterState::unknown;
    auto since = story.front().utc;
    const auto draw = [&](Utc until) {
      if (!shows(since, until) || until <= since) return;
      const auto* look = state == shotlog::FilterState::on    ? "on"
                         : state == shotlog::FilterState::off ? "off"
                                                              : "untold";
      out_ += box(x(since), y, std::max(x(until) - x(since), 0.5), 8, look, to_text(state));
    };
    bool is_told = false;
    for (const auto& line : story) {
      const auto* change = std::get_if<shotlog::FilterChange>(&line.entry);
      if (change == nullptr || change->rig != rig.rig) continue;
      draw(line.utc);
      is_told = true;
      state = change->state;
      since = line.utc;
    }
    if (is_told) draw(story.back().utc);
  }

  const Summary& summary_;
  const LocalClock& local_;
  Utc from_;
  Utc until_;
  double bottom_ = top;
  double highest_name_ = top - 8;
  std::string out_;
};

}  // namespace

std::string timeline_picture(const Summary& summary, const LocalClock& local, Utc from, Utc until) {
  return Picture{summary, local, from, until}.draw();
}

}  // namespace noonfall::report
