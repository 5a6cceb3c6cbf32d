#include <fmt/format.h>

#include "lib/base/plain_text.h"
#include "lib/report/page_parts.h"
#include "lib/report/words.h"
#include "lib/time/utc_text.h"

namespace noonfall::report {
namespace {

/// A table that is made row by row; without rows it is nothing.
class Table {
 public:
  explicit Table(std::string_view caption, std::string_view remark = "")
      : caption_{caption}, remark_{remark} {}

  /// Columns are told by their heads; "n" and "t" are numbers and instants.
  Table& column(std::string_view head, std::string_view look = "") {
    heads_ += fmt::format("<th class=\"{}\">{}</th>", look, markup_text(head));
    looks_.emplace_back(look);
    return *this;
  }
  /// Cells are as a log has them: they are escaped here.
  void row(const std::vector<std::string>& cells) {
    rows_ += "<tr>";
    for (std::size_t n = 0; n < cells.size(); ++n)
      rows_ += fmt::format("<td class=\"{}\">{}</td>", looks_[n], markup_text(cells[n]));
    rows_ += "</tr>\n";
  }
  [[nodiscard]] std::string section() const {
    if (rows_.empty()) return {};
    const auto remark = remark_.empty() ? "" : fmt::format(" <small>{}</small>", markup_text(remark_));
    return fmt::format(
        "<section><h2>{}{}</h2>\n<table><thead><tr>{}</tr></thead><tbody>\n{}</tbody></table></section>\n",
        markup_text(caption_), remark, heads_, rows_);
  }

 private:
  std::string caption_;
  std::string remark_;
  std::string heads_;
  std::string rows_;
  std::vector<std::string> looks_;
};

std::string_view clock_head(const LocalClock& local) {
  return local ? "local time" : "UTC";
}

std::string reasons_of(const StepSummary& step) {
  std::string out;
  for (const auto& [why, times] : step.reasons)
    out +=
        fmt::format("{}{}{}", out.empty() ? "" : "; ", step.left_out ? "" : fmt::format("{} × ", times), why);
  return out;
}

std::string late_of(const StepSummary& step) {
  if (step.planned.back_to_back || step.frames.fired == 0) return "";
  return fmt::format("{:.0f} / {:.0f}", in_milliseconds(step.median_late), in_milliseconds(step.most_late));
}

template <class Kind>
void add_rows(Table& table, const Summary& summary, const LocalClock& local) {
  for (const auto& line : summary.detail.story) {
    if (!std::holds_alternative<Kind>(line.entry)) continue;
    if (const auto words = words_of(line.entry); !words.empty())
      table.row({clock_text(line.utc, local), words});
  }
}

}  // namespace

std::string steps_section(const Summary& summary, const LocalClock& local) {
  Table table{"Step by step"};
  table.column(clock_head(local), "t")
      .column("rig", "k")
      .column("step", "k")
      .column("subject", "k")
      .column("filter");
  table.column("planned", "n").column("shot", "n").column("missed", "n").column("whole sets", "n");
  table.column("late, half / all within, ms", "n").column("not as planned");
  for (const auto& step : summary.steps) {
    const auto& n = step.frames;
    table.row({clock_text(step.planned.from, local), step.rig, step.planned.step, step.planned.subject,
               step.planned.filtered ? "on" : "off", fmt::format("{}", step.planned.frames),
               step.by_hand ? "by hand" : fmt::format("{}", n.fired),
               step.by_hand ? "" : fmt::format("{}", step.missed()),
               step.by_hand ? "" : fmt::format("{}/{}", step.whole_sets, step.planned.sets), late_of(step),
               reasons_of(step)});
  }
  return table.section();
}

std::string story_sections(const Summary& summary, const LocalClock& local) {
  Table faults{"Faults and recoveries", "in order, in the words of the log"};
  faults.column(clock_head(local), "t").column("rig", "k").column("").column("words");
  Table others{"Operator, plan and notes"};
  others.column(clock_head(local), "t").column("what");
  Table cues{"Cues"};
  cues.column("ends", "t").column("words").column("how").column("filter is taken to be");
  for (const auto& line : summary.detail.story) {
    if (const auto* fault = std::get_if<shotlog::BodyNews>(&line.entry)) {
      faults.row({clock_text(line.utc, local), fault->rig,
                  !fault->ready        ? "fault"
                  : fault->why.empty() ? "back"
                                       : "remark",
                  fault->why.empty() ? "the body is there" : fault->why});
    } else if (const auto* cue = std::get_if<shotlog::CueLine>(&line.entry)) {
      const auto how = !cue->why.empty() ? cue->why : cue->printed ? "printed" : "spoken";
      const auto late = cue->filter && cue->filter->late ? ", late" : "";
      cues.row({clock_text(cue->ends, local), cue->words, how + late,
                cue->filter ? fmt::format("{}: {}", cue->filter->rig, to_text(cue->filter->leaves)) : ""});
    } else if (!std::holds_alternative<shotlog::FilterChange>(line.entry) &&
               !std::holds_alternative<shotlog::ClockLine>(line.entry)) {
      if (const auto words = words_of(line.entry); !words.empty())
        others.row({clock_text(line.utc, local), words});
    }
  }
  return faults.section() + others.section() + cues.section();
}

std::string contacts_section(const Summary& summary, const LocalClock& local) {
  const auto& h = summary.header;
  auto how = fmt::format(
      "computed for {:.5f}°, {:.5f}°, {:.0f} m above the ellipsoid; Sun's radius {:.2f}\", TT − UT1 "
      "{:.2f} s, UT1 − UTC {:+.3f} s.",
      h.site.latitude.value, h.site.longitude.value, h.site.height.value, h.solar_radius_arcsec,
      in_seconds(h.delta_t), in_seconds(h.dut1));
  if (h.moved != Duration{}) how += fmt::format(" Moved by {:.1f} s for a rehearsal.", in_seconds(h.moved));
  Table table{"Contacts used", how + " " + edge_text(h)};
  table.column("contact");
  if (local) table.column("local time", "t");
  table.column("UTC", "t").column("uncertain by");
  for (const auto& each : h.contacts) {
    std::vector<std::string> cells{std::string{contacts::to_text(each.name)}};
    if (local) cells.push_back(local(each.utc));
    cells.push_back(to_clock_text(each.utc, 3));
    cells.push_back(fmt::format("± {:.1f} s", in_seconds(each.uncertainty)));
    table.row(cells);
  }
  return table.section();
}

std::string filters_section(const Summary& summary, const LocalClock& local) {
  Table windows{"Filter windows"};
  windows.column("rig", "k")
      .column("opens", "t")
      .column("frames from", "t")
      .column("frames until", "t")
      .column("closes", "t");
  windows.column("unfiltered frames inside", "n").column("outside", "n").column("unknown", "n");
  for (const auto& w : summary.windows) {
    windows.row(
        {w.rig + (w.in_force ? "" : ", before the plan was amended"), clock_text(w.window.opens, local),
         clock_text(w.window.usable_from, local), clock_text(w.window.usable_until, local),
         clock_text(w.window.closes, local), w.by_hand ? "by hand" : fmt::format("{}", w.inside),
         w.by_hand ? "" : fmt::format("{}", w.outside), w.by_hand ? "" : fmt::format("{}", w.unknown)});
  }
  Table states{"Camera filters"};
  states.column(clock_head(local), "t").column("what");
  add_rows<shotlog::FilterChange>(states, summary, local);
  return windows.section() + states.section();
}

std::string clock_section(const Summary& summary, const LocalClock& local) {
  Table spans{"How far the clock was trusted", "A within 20 ms, B 100 ms, C 500 ms, F unknown"};
  spans.column("from", "t").column("until", "t").column("grade").column("widest bound");
  for (const auto& span : summary.detail.clock) {
    spans.row({clock_text(span.from, local), clock_text(span.until, local), std::string{to_text(span.grade)},
               span.grade == shotlog::ClockGrade::f
                   ? "unknown"
                   : fmt::format("± {:.1f} ms", in_milliseconds(span.widest))});
  }
  Table changes{"What the clock did"};
  changes.column(clock_head(local), "t").column("what");
  add_rows<shotlog::ClockLine>(changes, summary, local);
  return spans.section() + changes.section();
}

std::string cards_section(const Summary& summary) {
  Table table{"On the cards", "copy these before anybody formats a card"};
  table.column("rig", "k")
      .column("should hold")
      .column("darks that would suit, cap on")
      .column("flats, focus untouched");
  for (const auto& card : summary.detail.cards)
    table.row({card.rig, card_text(card), darks_text(card), flats_text(card)});
  return table.section();
}

}  // namespace noonfall::report
