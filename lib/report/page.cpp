#include <algorithm>

#include <cmath>

#include <fmt/format.h>

#include "lib/base/plain_text.h"
#include "lib/report/page_parts.h"
#include "lib/report/page_style.h"
#include "lib/report/report.h"
#include "lib/report/shot_frames.h"
#include "lib/report/words.h"

namespace noonfall::report {
namespace {

using namespace std::chrono_literals;

constexpr std::string_view emblem =
    R"(<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 84 84" aria-hidden="true">
<circle cx="42" cy="42" r="41" fill="#e4e7f1"/><circle cx="42" cy="42" r="31" fill="#b9c0dc"/>
<circle cx="42" cy="42" r="24" fill="#15181d"/><circle cx="60.5" cy="26.5" r="4.5" fill="#fff"/></svg>
)";
/// For what isn't known and what is missing, in all pictures.
constexpr std::string_view hatch =
    R"svg(<svg xmlns="http://www.w3.org/2000/svg" width="0" height="0" style="position:absolute">
<defs><pattern id="hatch" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
<rect width="5" height="5" fill="#fff"/><rect width="1.4" height="5" fill="#8a5a48"/></pattern></defs></svg>
)svg";

std::string head(const Summary& s) {
  const auto& h = s.header;
  return fmt::format(
      "<header>{}<div><h1>{}</h1>\n<p>The {} eclipse of {} at {:.4f}° {}, {:.4f}° {}: "
      "{}</p></div></header>\n",
      emblem, markup_text(h.title), contacts::to_text(h.kind), noonfall::to_text(h.eclipse),
      std::abs(h.site.latitude.value), h.site.latitude.value < 0 ? "S" : "N",
      std::abs(h.site.longitude.value), h.site.longitude.value < 0 ? "W" : "E", mode_text(h.mode));
}

std::string headline(const Summary& s) {
  std::string out;
  const auto add = [&](const std::string& number, std::string_view words, bool is_bad) {
    out += fmt::format("<div class=\"figure{}\"><b>{}</b><span>{}</span></div>\n", is_bad ? " bad" : "",
                       number, markup_text(words));
  };
  const auto count = [&](int number, std::string_view words, bool may_be_bad) {
    add(fmt::format("{}", number), words, may_be_bad && number > 0);
  };
  const auto& n = s.total;
  count(s.planned_frames, "frames planned", false);
  count(n.fired, "shot", false);
  count(n.skipped + n.cancelled, "skipped", true);
  count(n.failed, "lost", true);
  count(n.unknown + n.open, "unknown", true);
  count(never_asked(s), "never asked for", true);
  for (const auto& use : s.detail.totality)
    add(fmt::format("{:.0f} %", use.per_cent()),
        fmt::format("of totality {}used, {}", use.lasts < use.in_all ? "so far " : "", use.rig), false);
  return "<div class=\"headline\">\n" + out + "</div>\n";
}

std::string remarks_part(const Summary& s) {
  std::string out;
  if (s.strayed())
    out +=
        "<p class=\"remark bad\">Unfiltered frames were taken outside the filter window: check the lens and "
        "the "
        "sensor.</p>\n";
  for (const auto& remark : remarks(s))
    out += fmt::format("<p class=\"remark\">{}</p>\n", markup_text(remark));
  return out;
}

std::string figure(std::string_view picture, std::string_view caption) {
  return fmt::format("<figure>{}<figcaption>{}</figcaption></figure>\n", picture, markup_text(caption));
}

constexpr std::string_view legend =
    "Above: frames shot, dark without the filter, pale behind it; a cross is a frame that was missed, a ring "
    "one of "
    "which nothing is known. Below them what was planned, and the camera filter: grey on, white off, hatched "
    "unknown.";

/// The whole run, and totality for itself.
std::string pictures(const Summary& s, const LocalClock& local) {
  auto from = Utc::max();
  auto until = Utc::min();
  const auto widen = [&](Utc begin, Utc end) {
    from = std::min(from, begin);
    until = std::max(until, end);
  };
  for (const auto& each : s.header.contacts) widen(each.utc, each.utc);
  for (const auto& step : s.steps)
    if (!step.left_out) widen(step.planned.from, step.planned.until);
  if (from > until) return {};
  const auto caption = std::string{legend} +
                       (s.header.mode == shotlog::Mode::event ? "" : " In a rehearsal the filter stays on.");
  std::string out;
  const auto c2 = contact(s.header, contacts::ContactName::c2);
  const auto c3 = contact(s.header, contacts::ContactName::c3);
  if (c2 && c3)
    out += "<section><h2>From C2 to C3</h2>\n" +
           figure(timeline_picture(s, local, *c2 - 60s, *c3 + 60s), caption) + "</section>\n";
  return out + "<section><h2>The whole run</h2>\n" +
         figure(timeline_picture(s, local, from - 60s, until + 60s), caption) + "</section>\n";
}

std::string charts(const Summary& s) {
  std::string out;
  const auto add = [&](const std::string& heading, const std::string& picture, std::string_view caption) {
    out +=
        fmt::format("<section><h2>{}</h2>\n{}</section>\n", markup_text(heading), figure(picture, caption));
  };
  const auto& late = s.detail.lateness.frames;
  if (std::any_of(late.begin(), late.end(), [](int frames) { return frames > 0; }))
    add("Lateness", lateness_picture(s.detail.lateness), "Frames of steps with instants of their own.");
  for (const auto& worth : s.detail.worth)
    add(fmt::format("The corona of {}, stacked", worth.rig), worth_picture(worth),
        "Signal to noise per pixel of all frames of the corona together, by what the header says of the "
        "sensor.");
  for (const auto& rig : s.header.rigs) {
    const auto& all = s.detail.sampled;
    const auto is_of_rig = [&](const Sampled& each) { return each.rig == rig.rig; };
    if (std::any_of(all.begin(), all.end(), is_of_rig))
      add(fmt::format("What {} was exposed for", rig.rig), sampled_picture(all, rig.rig),
          "Unfiltered frames within a stop of each row of the exposure table, bright to faint.");
  }
  return out.empty() ? out : "<div class=\"pair\">\n" + out + "</div>\n";
}

std::string gaps(const Summary& s, const LocalClock& local) {
  std::string out;
  for (const auto& gap : s.gaps)
    out += fmt::format("<p class=\"remark\">{}: no open shutter for {:.1f} s of totality, from {}</p>\n",
                       markup_text(gap.rig), in_seconds(gap.until - gap.from),
                       markup_text(clock_text(gap.from, local)));
  return out;
}

std::string foot(const Summary& s, const LocalClock& local) {
  return fmt::format(
      "<footer>Made by noonfall from the shot log alone. Times are {}. Plan SHA-256 {}.</footer>\n",
      local ? "those of " + markup_text(s.header.zone) : "UTC", markup_text(s.header.plan_hash));
}

}  // namespace

std::string to_html(const Summary& s, const LocalClock& local) {
  std::string out =
      "<!DOCTYPE html>\n<html xmlns=\"http://www.w3.org/1999/xhtml\" lang=\"en\">\n<head><meta "
      "charset=\"utf-8\"/>"
      "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n";
  out += fmt::format("<title>{}: what was shot</title>\n<style>{}</style></head>\n<body>\n{}",
                     markup_text(s.header.title), page_style, hatch);
  out += head(s) + headline(s) + remarks_part(s) + pictures(s, local) + gaps(s, local) + charts(s);
  out += cards_section(s) + steps_section(s, local) + story_sections(s, local) + filters_section(s, local);
  out += clock_section(s, local) + contacts_section(s, local) + foot(s, local);
  return out + "</body></html>\n";
}

}  // namespace noonfall::report
