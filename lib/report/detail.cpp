#include "lib/report/detail.h"

#include <algorithm>
#include <cmath>

#include "lib/base/plain_text.h"
#include "lib/exposure/brightness.h"
#include "lib/exposure/scale.h"
#include "lib/exposure/subject.h"
#include "lib/report/shot_frames.h"

namespace noonfall::report {
namespace {

using namespace std::chrono_literals;
using order::Outcome;
using shotlog::Account;
using shotlog::FrameAccount;
using shotlog::Header;
using shotlog::PlannedRig;

const shotlog::PlannedStep* step_of(const std::vector<Header>& plans, const shotlog::FrameName& name,
                                    const FrameAccount& frame) {
  if (frame.plan >= plans.size()) return nullptr;
  for (const auto& rig : plans[frame.plan].rigs) {
    for (const auto& step : rig.steps)
      if (rig.rig == name.rig && step.step == name.step) return &step;
  }
  return nullptr;
}

struct Shown {  // a frame with its name and its step
  shotlog::FrameName name;
  const FrameAccount* frame;
  const shotlog::PlannedStep* step;  // none in a damaged log

  [[nodiscard]] bool filtered() const { return step == nullptr || step->filtered; }
  [[nodiscard]] const exposure::Exposure& taken() const { return frame->last->exposure; }
};

std::optional<exposure::Subject> subject_of(const Shown& frame) {
  return frame.step == nullptr ? std::nullopt : exposure::parse_subject(frame.step->subject);
}

/// The rig's frames whose shutter opened, by time.
std::vector<Shown> shot_by(const std::string& rig, const Account& account) {
  std::vector<Shown> out;
  for (const auto& [name, frame] : account.of(rig))
    if (opened(frame)) out.push_back({name, &frame, step_of(account.plans, name, frame)});
  std::stable_sort(out.begin(), out.end(),
                   [](const Shown& a, const Shown& b) { return opened(*a.frame) < opened(*b.frame); });
  return out;
}

bool follows_at_once(const Shown& before, const Shown& after) {
  return after.name.step == before.name.step && after.name.set == before.name.set &&
         after.name.frame == before.name.frame + 1;
}

Duration usual_pause(const std::vector<Shown>& frames) {
  std::vector<Duration> pauses;
  for (std::size_t n = 1; n < frames.size(); ++n) {
    if (follows_at_once(frames[n - 1], frames[n]))
      pauses.push_back(std::max(Duration{}, *opened(*frames[n].frame) - closed(*frames[n - 1].frame)));
  }
  if (pauses.empty()) return {};
  const auto middle = pauses.begin() + static_cast<std::ptrdiff_t>(pauses.size() / 2);
  std::nth_element(pauses.begin(), middle, pauses.end());
  return *middle;
}

std::optional<TotalityUse> use_of(const Header& plan, const std::string& rig,
                                  const std::vector<Shown>& frames, Utc told_until) {
  const auto c2 = contact(plan, contacts::ContactName::c2);
  const auto c3 = contact(plan, contacts::ContactName::c3);
  if (plan.kind != contacts::Kind::total || !c2 || !c3 || told_until <= *c2) return std::nullopt;
  const auto end = std::min(*c3, told_until);
  TotalityUse use{.rig = rig, .lasts = end - *c2, .in_all = *c3 - *c2};
  std::vector<Shown> inside;
  for (const auto& each : frames)
    if (*opened(*each.frame) < end && closed(*each.frame) > *c2) inside.push_back(each);
  if (inside.empty()) return std::nullopt;
  use.frames = static_cast<int>(inside.size());
  use.own_pause = usual_pause(inside);
  auto free_from = *c2;  // the body had nothing to do from here on
  const Shown* before = nullptr;
  for (const auto& each : inside) {
    const auto opens = std::max(*opened(*each.frame), *c2);
    const auto closes = std::min(closed(*each.frame), end);
    const auto idle = std::max(Duration{}, opens - free_from);
    const bool at_once = before != nullptr && follows_at_once(*before, each);
    if (before != nullptr) use.used += at_once ? idle : std::min(idle, use.own_pause);
    use.used += std::max(Duration{}, closes - std::max(opens, free_from));
    free_from = std::max(free_from, closes);
    before = &each;
  }
  use.used += std::min(use.own_pause, end - free_from);
  return use;
}

void count_lateness(Lateness& out, const std::vector<Shown>& frames) {
  for (const auto& each : frames) {
    if (each.step == nullptr || each.step->back_to_back) continue;
    const auto late = in_milliseconds(*opened(*each.frame) - each.frame->due());
    if (late < 0) ++out.early;
    const auto bound = std::lower_bound(Lateness::up_to_ms.begin(), Lateness::up_to_ms.end(), std::abs(late));
    ++out.frames[static_cast<std::size_t>(bound - Lateness::up_to_ms.begin())];
  }
}

/// What an exposure puts at a middle grey; empty without an f-number.
std::optional<double> brightness_of(const exposure::Exposure& taken, const PlannedRig& rig) {
  auto aperture = taken.aperture;
  if (!aperture && rig.corona) aperture = rig.corona->light.aperture;
  if (!aperture) return std::nullopt;
  const double n = exposure::exact_value(*aperture);
  const double lost = rig.corona ? rig.corona->light.lost.value : 0;
  return std::log2(n * n / (exposure::exact_value(taken.iso) * exposure::exact_seconds(taken.shutter))) +
         lost;
}

void add_sampled(std::vector<Sampled>& out, const PlannedRig& rig, const std::vector<Shown>& frames) {
  std::vector<double> taken;
  for (const auto& each : frames) {
    const auto subject = subject_of(each);
    if (each.filtered() || !subject || subject->kind == exposure::SubjectKind::landscape) continue;
    if (const auto q = brightness_of(each.taken(), rig)) taken.push_back(*q);
  }
  if (taken.empty()) return;
  std::vector<exposure::Subject> subjects;
  for (const auto& row : exposure::published_brightness().rows)
    if (row.density == 0) subjects.push_back(row.subject);
  subjects.push_back({exposure::SubjectKind::earthshine});
  std::vector<Sampled> rows;
  for (const auto& subject : subjects) {
    const double q = exposure::brightness_of(subject, 0)->middle().q;
    constexpr double click = 1.0 / 6;  // names stand for a third-stop scale, the table for plain numbers
    const auto near = std::count_if(taken.begin(), taken.end(),
                                    [&](double each) { return std::abs(each - q) <= 1 + click; });
    rows.push_back({rig.rig, exposure::to_text(subject), q, static_cast<int>(near)});
  }
  std::stable_sort(rows.begin(), rows.end(),
                   [](const Sampled& a, const Sampled& b) { return a.brightness > b.brightness; });
  out.insert(out.end(), rows.begin(), rows.end());
}

void add_worth(std::vector<Worth>& out, const PlannedRig& rig, const std::vector<Shown>& frames) {
  if (!rig.corona) return;
  std::vector<ladder::Frames> taken;
  for (const auto& each : frames) {
    const auto subject = subject_of(each);
    if (!subject || subject->kind != exposure::SubjectKind::corona || each.filtered()) continue;
    if (subject->low_radii < subject->high_radii)
      taken.push_back({each.taken().shutter, each.taken().iso, 1});
  }
  Worth worth{rig.rig, rig.corona->signals, {}};
  for (const auto& at : worth.planned)
    worth.reached.push_back({at.radii, ladder::stacked(rig.corona->light, taken, at.radii)});
  out.push_back(std::move(worth));
}

std::string ending_of(const std::string& file) {
  const auto dot = file.rfind('.');
  return dot == std::string::npos || file.find('/', dot) != std::string::npos
             ? ""
             : plain_line(file.substr(dot + 1));
}

/// Exposures that darks and flats are for: sensors gather dark current over long ones (common practice, no
/// source).
void add_calibration(CardContent& out, const std::vector<Shown>& frames) {
  const auto add = [](std::vector<exposure::Exposure>& all, const exposure::Exposure& one) {
    if (std::find(all.begin(), all.end(), one) == all.end()) all.push_back(one);
  };
  for (const auto& each : frames) {
    if (each.filtered()) continue;
    const auto& taken = each.taken();
    if (exposure::exact_seconds(taken.shutter) >= 0.125)
      add(out.darks, {.shutter = taken.shutter, .aperture = {}, .iso = taken.iso});
    add(out.flats, {.shutter = {}, .aperture = taken.aperture, .iso = taken.iso});
  }
  std::stable_sort(out.darks.begin(), out.darks.end(), [](const auto& a, const auto& b) {
    return exposure::exact_seconds(a.shutter) > exposure::exact_seconds(b.shutter);
  });
}

CardContent card_of(const std::string& rig, const std::vector<Shown>& frames, const Account& account) {
  CardContent card;
  card.rig = rig;
  card.frames = static_cast<int>(frames.size());
  for (const auto& [name, frame] : account.of(rig))
    if (!frame.last || frame.is(Outcome::unknown)) ++card.uncertain;
  for (const auto& each : frames) {
    for (const auto& file : each.frame->last->files) {
      ++card.files[ending_of(file)];
      if (card.first.empty()) card.first = plain_line(file);
      card.last = plain_line(file);
    }
  }
  add_calibration(card, frames);
  return card;
}

Mark mark_of(const shotlog::FrameName& name, const FrameAccount& frame, const Account& account) {
  const auto* step = step_of(account.plans, name, frame);
  Mark mark{name.rig, frame.due(), frame.due(), Fate::missed, step == nullptr || step->filtered};
  if (opened(frame)) return {name.rig, *opened(frame), closed(frame), Fate::shot, mark.filtered};
  if (!frame.last || frame.is(Outcome::unknown)) mark.fate = Fate::unknown;
  return mark;
}

}  // namespace

Detail detail_of(const Header& plan, const Account& account, Utc told_until) {
  Detail out;
  for (const auto& rig : plan.rigs) {
    const auto frames = shot_by(rig.rig, account);
    if (auto use = use_of(plan, rig.rig, frames, told_until)) out.totality.push_back(std::move(*use));
    count_lateness(out.lateness, frames);
    add_sampled(out.sampled, rig, frames);
    add_worth(out.worth, rig, frames);
    if (!rig.body.empty()) out.cards.push_back(card_of(rig.rig, frames, account));
    for (const auto& [name, frame] : account.of(rig.rig))
      if (!frame.over) out.marks.push_back(mark_of(name, frame, account));
  }
  std::stable_sort(out.marks.begin(), out.marks.end(),
                   [](const Mark& a, const Mark& b) { return a.from < b.from; });
  return out;
}

}  // namespace noonfall::report
