#include "lib/json/json.h"

#include "lib/base/plain_text.h"
#include "lib/report/report.h"
#include "lib/report/words.h"
#include "lib/time/utc_text.h"

namespace noonfall::report {
namespace {

using json::Json;

template <class Values>
Json list(const Values& values, auto make) {
  auto out = Json::array();
  for (const auto& each : values) out.push_back(make(each));
  return out;
}

Json counts(const shotlog::Tally& n) {
  return {{"shot", n.fired},      {"failed", n.failed},       {"unknown", n.unknown},
          {"skipped", n.skipped}, {"cancelled", n.cancelled}, {"without_answer", n.open}};
}

Json step_json(const StepSummary& step) {
  const auto& plan = step.planned;
  Json out{{"rig", step.rig},
           {"step", plan.step},
           {"plan_line", plan.plan_line},
           {"subject", plan.subject},
           {"filter", plan.filtered ? "on" : "off"},
           {"from_utc", to_text_us(plan.from)},
           {"until_utc", to_text_us(plan.until)},
           {"planned_sets", plan.sets},
           {"planned_frames", plan.frames},
           {"whole_sets", step.whole_sets},
           {"frames", counts(step.frames)},
           {"never_asked", step.never_asked},
           {"by_hand", step.by_hand},
           {"left_out", step.left_out}};
  if (!plan.back_to_back && step.frames.fired > 0) {
    out["median_late_ms"] = in_milliseconds(step.median_late);
    out["most_late_ms"] = in_milliseconds(step.most_late);
  }
  out["reasons"] = Json::object();
  for (const auto& [why, times] : step.reasons) out["reasons"][why] = times;
  return out;
}

Json signals_json(const Worth& worth) {
  auto out = Json::array();
  for (std::size_t n = 0; n < worth.planned.size(); ++n)
    out.push_back({{"radii", worth.planned[n].radii},
                   {"planned", worth.planned[n].to_noise},
                   {"reached", worth.reached[n].to_noise}});
  return out;
}

Json lateness_json(const Lateness& lateness) {
  auto out = Json::array();
  for (std::size_t n = 0; n < lateness.frames.size(); ++n) {
    Json bar{{"frames", lateness.frames[n]}};
    if (n < Lateness::up_to_ms.size()) bar["up_to_ms"] = Lateness::up_to_ms[n];
    out.push_back(std::move(bar));
  }
  return out;
}

Json window_json(const WindowSummary& w) {
  return {{"rig", w.rig},
          {"opens_utc", to_text_us(w.window.opens)},
          {"usable_from_utc", to_text_us(w.window.usable_from)},
          {"usable_until_utc", to_text_us(w.window.usable_until)},
          {"closes_utc", to_text_us(w.window.closes)},
          {"in_force", w.in_force},
          {"inside", w.inside},
          {"outside", w.outside},
          {"unknown", w.unknown}};
}

Json card_json(const CardContent& card) {
  Json files = Json::object();
  for (const auto& [ending, count] : card.files) files[ending] = count;
  Json out{{"rig", plain_line(card.rig)}, {"frames", card.frames},
           {"uncertain", card.uncertain}, {"files", files},
           {"first", card.first},         {"last", card.last}};
  out["darks"] = list(card.darks, [](const auto& each) {
    return exposure::to_text(each.shutter) + " " + exposure::to_text(each.iso);
  });
  out["flats"] = list(card.flats, [](const auto& each) {
    return (each.aperture ? exposure::to_text(*each.aperture) + " " : "") + exposure::to_text(each.iso);
  });
  return out;
}

}  // namespace

std::string to_json(const Summary& s) {
  const auto& h = s.header;
  const auto& d = s.detail;
  Json out{{"title", h.title},
           {"eclipse", noonfall::to_text(h.eclipse)},
           {"eclipse_kind", contacts::to_text(h.kind)},
           {"mode", shotlog::to_text(h.mode)},
           {"complete", s.complete},
           {"torn_tail", s.torn_tail},
           {"damaged_lines", s.damaged_lines},
           {"planned_frames", s.planned_frames},
           {"frames", counts(s.total)},
           {"never_asked", never_asked(s)},
           {"limb", plain_line(h.limb)}};
  out["contacts"] = list(h.contacts, [](const shotlog::NamedContact& each) {
    return Json{{"contact", contacts::to_text(each.name)},
                {"utc", to_text_us(each.utc)},
                {"uncertainty_s", in_seconds(each.uncertainty)}};
  });
  out["totality"] = list(d.totality, [](const TotalityUse& use) {
    return Json{{"rig", plain_line(use.rig)},
                {"lasts_s", in_seconds(use.in_all)},
                {"told_s", in_seconds(use.lasts)},
                {"used_s", in_seconds(use.used)},
                {"per_cent", use.per_cent()},
                {"own_pause_s", in_seconds(use.own_pause)},
                {"frames", use.frames}};
  });
  out["steps"] = list(s.steps, step_json);
  out["lateness"] = lateness_json(d.lateness);
  out["sampled"] = list(d.sampled, [](const Sampled& each) {
    return Json{{"rig", plain_line(each.rig)},
                {"subject", each.subject},
                {"brightness", each.brightness},
                {"frames", each.frames}};
  });
  out["corona"] = list(d.worth, [](const Worth& each) {
    return Json{{"rig", plain_line(each.rig)}, {"signal_to_noise", signals_json(each)}};
  });
  out["filter_windows"] = list(s.windows, window_json);
  out["gaps"] = list(s.gaps, [](const Gap& gap) {
    return Json{{"rig", gap.rig}, {"from_utc", to_text_us(gap.from)}, {"until_utc", to_text_us(gap.until)}};
  });
  out["clock"] = list(d.clock, [](const ClockSpan& span) {
    return Json{{"from_utc", to_text_us(span.from)},
                {"until_utc", to_text_us(span.until)},
                {"grade", shotlog::to_text(span.grade)},
                {"widest_ms", in_milliseconds(span.widest)}};
  });
  out["cards"] = list(d.cards, card_json);
  out["story"] = list(d.story, [](const shotlog::Line& line) {
    return Json{{"utc", to_text_us(line.utc)},
                {"kind", shotlog::kind_of(line.entry)},
                {"words", plain_line(words_of(line.entry))}};
  });
  return json::to_indented(out);
}

}  // namespace noonfall::report
