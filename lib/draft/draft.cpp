#include "lib/draft/draft.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "lib/contacts/sky_track.h"
#include "lib/draft/phases.h"
#include "lib/exposure/brightness.h"
#include "lib/exposure/framing.h"
#include "lib/exposure/scale.h"
#include "lib/plan/mirror.h"
#include "lib/timeline/steps.h"

namespace noonfall::draft {
namespace {

using namespace std::chrono_literals;
using contacts::ContactName;
using exposure::Subject;
using exposure::SubjectKind;
using plan::ContactOffset;
using plan::Instant;

constexpr exposure::Iso highest_iso{6400};
constexpr Degrees clear_of_horizon{1};  // above it, where the Sun's lower edge and some haze are left behind

Instant from(ContactName contact, Duration offset) {
  return {ContactOffset{contact, offset, 0}, {}};
}

bool is_landscape(const Gear& gear) {
  return !gear.filter_density;
}

const body::Profile& profile_of(const Gear& gear) {
  return gear.body ? *gear.body : timeline::profile_by_hand();
}

/// How long the Sun takes through the frame's shorter side, less its own diameter.
std::optional<Duration> crossing_time(const Gear& gear) {
  if (gear.mount == plan::Mount::tracking || !gear.sensor) return {};
  const auto side = std::min(gear.sensor->width, gear.sensor->height);
  const double degrees = exposure::field_of_view(side, gear.focal_length).value - 0.54;
  return from_seconds(std::max(0.0, degrees) / 15 * 3600);
}

/// From the body's lowest, or its base ISO, up; noonfall raises it only where a shutter would be too slow.
plan::Limits<exposure::Iso> iso_limits(const Gear& gear) {
  const auto& isos = profile_of(gear).choices.isos;
  const exposure::Iso base =
      gear.body && gear.body->sensor ? gear.body->sensor->base_iso : exposure::Iso{100};
  const auto low = exposure::nearest(base, isos)->value;
  return {low, exposure::nearest(exposure::Iso{std::max(highest_iso.value, low.value)}, isos)->value};
}

/// What the step names beside the rig: nothing, or what keeps its shortest frame within the body's reach.
plan::ExposureChoice exposure_for(const Gear& gear, const Subject& subject, Stops to_shortest) {
  const auto& profile = profile_of(gear);
  const auto brightness = exposure::brightness_of(subject, gear.filter_density.value_or(0))->brightest;
  const auto iso = iso_limits(gear).low;
  const double shortest =
      exposure::exact_seconds(profile.choices.shutters.front()) * std::exp2(to_shortest.value);
  const auto fits = [&](exposure::FNumber aperture) {
    return exposure::ideal_seconds(brightness, aperture, iso).value * std::exp2(1.0 / 6) >= shortest;
  };
  plan::ExposureChoice choice;
  if (fits(gear.aperture)) return choice;
  const auto& apertures = profile.choices.apertures;
  const auto found = std::ranges::find_if(
      apertures, [&](auto aperture) { return aperture.tenths > gear.aperture.tenths && fits(aperture); });
  if (found != apertures.end()) {
    choice.aperture = {{*found, *found}};
    return choice;
  }
  const auto shutter = exposure::nearest(Seconds{shortest}, profile.choices.shutters)->value;
  choice.shutter = {{shutter, shutter}};
  choice.iso = {{iso, iso}};
  return choice;
}

plan::Bracket bracket(int frames, double by) {
  return {plan::CentredBracket{frames, {by}}, plan::BracketOrder::short_first, {}};
}

class Writer {
 public:
  Writer(const Request& request, const contacts::Circumstances& sky, contacts::TimeSpan up)
      : request_{request}, sky_{sky}, up_{up} {
    plan_.eclipse = sky.eclipse;
    plan_.site = request.site;
  }

  Drafted write() {
    std::size_t place = 0;
    for (const auto& gear : request_.rigs) {
      std::optional<Totality> totality;
      if (!is_landscape(gear) && totality_is_up()) totality = totality_for(gear, sky_, place++);
      write_rig(gear, totality);
      if (is_landscape(gear))
        write_landscape(gear);
      else if (totality)
        write_total(gear, *totality);
      else if (sky_.kind == contacts::Kind::annular && ring_is_up())
        write_annular(gear);
      else
        write_partial(gear);
      any_totality_ = any_totality_ || totality.has_value();
    }
    std::ranges::move(plan_.steps, std::back_inserter(before_));
    std::reverse(after_.begin(), after_.end());
    std::ranges::move(after_, std::back_inserter(before_));
    plan_.steps = std::move(before_);
    write_cues();
    write_opening();
    return {std::move(plan_), std::move(comments_)};
  }

 private:
  [[nodiscard]] bool is_up(Utc at) const { return up_.from <= at && at <= up_.until; }
  [[nodiscard]] bool inner_contacts_are_up() const {
    return is_up(sky_.at(ContactName::c2)->utc - 20s) && is_up(sky_.at(ContactName::c3)->utc + 20s);
  }
  [[nodiscard]] bool totality_is_up() const {
    return sky_.kind == contacts::Kind::total && inner_contacts_are_up();
  }
  [[nodiscard]] bool ring_is_up() const { return inner_contacts_are_up(); }

  [[nodiscard]] Utc at(const Instant& instant) const {
    const auto& offset = std::get<ContactOffset>(instant.value);
    return sky_.at(offset.contact)->utc + offset.offset;
  }

  /// The instant moved into the time the Sun is up, told from the same contact in tens of seconds.
  [[nodiscard]] Instant clipped(const Instant& instant) const {
    const auto& offset = std::get<ContactOffset>(instant.value);
    const auto moved = std::clamp(at(instant), up_.from, up_.until);
    if (moved == at(instant)) return instant;
    const auto away = moved - sky_.at(offset.contact)->utc;
    using Tens = std::chrono::duration<std::int64_t, std::ratio<10>>;
    const Duration inside = moved == up_.from ? Duration{std::chrono::ceil<Tens>(away)}
                                              : Duration{std::chrono::floor<Tens>(away)};
    return from(offset.contact, inside);
  }

  [[nodiscard]] std::string name_of(const Gear& gear, const std::string& step) const {
    return request_.rigs.size() == 1 ? step : gear.name + " " + step;
  }

  void write_rig(const Gear& gear, const std::optional<Totality>& totality) {
    plan::Rig rig;
    rig.name = gear.name;
    if (gear.body)
      rig.body = plan::SimulatedBody{gear.body->name};
    else
      rig.body = plan::ByHand{};
    rig.focal_length = gear.focal_length;
    rig.sensor = gear.sensor;
    rig.mount = gear.mount;
    const auto& apertures = profile_of(gear).choices.apertures;
    rig.exposure.aperture = {{gear.aperture, gear.aperture}};
    if (!apertures.empty()) {
      const auto nearest = exposure::nearest(gear.aperture, apertures)->value;
      rig.exposure.aperture = {{nearest, nearest}};
    }
    rig.exposure.iso = iso_limits(gear);
    if (gear.filter_density) {
      const auto window = totality ? totality->window : Duration{30s};
      rig.filter = plan::Filter{*gear.filter_density,
                                from(ContactName::c2, -window),
                                from(ContactName::c3, window),
                                8s,
                                "",
                                "",
                                {}};
    }
    comments_.rigs[gear.name] = rig_comment(gear);
    plan_.rigs.push_back(std::move(rig));
  }

  [[nodiscard]] std::string rig_comment(const Gear& gear) const {
    std::string text;
    if (gear.body)
      text = "A simulated body, to rehearse with. On the day: {serial: \"…\", profile: " + gear.body->name +
             "}.";
    text +=
        fmt::format("{}The ISO is raised only where a shutter would be too slow.", text.empty() ? "" : "\n");
    if (const auto crossing = crossing_time(gear); crossing && !is_landscape(gear))
      text += fmt::format(
          "\nOn a fixed mount the Sun crosses the frame in {:.0f} min: hands are asked for in between.",
          in_seconds(*crossing) / 60);
    return text;
  }

  /// A step and, turned around, its counterpart, each as far as the Sun is up. `least` is what either needs.
  void add_both(const Gear& gear, const std::string& name, plan::Step step, Duration least,
                const std::string& comment) {
    auto turned = step;
    turned.name = name_of(gear, name + " out");
    step.name = name_of(gear, name + " in");
    step.rigs = turned.rigs = {gear.name};
    const bool whole = inside(plan::mirrored(start_of(step)), plan::mirrored(end_of(step)));
    if (clip(step, least)) {
      if (!comment.empty()) comments_.steps[step.name] = comment;
      before_.push_back(step);
      if (whole && inside(start_of(step), end_of(step)) && is_unclipped(step, turned)) {
        plan::Step mirror;
        mirror.name = turned.name;
        mirror.what = plan::MirrorOf{step.name, {}};
        after_.push_back(std::move(mirror));
        return;
      }
    }
    turn(turned);
    if (!clip(turned, least)) return;
    if (!comment.empty() && !comments_.steps.contains(step.name)) comments_.steps[turned.name] = comment;
    after_.push_back(std::move(turned));
  }

  [[nodiscard]] bool inside(const Instant& begins, const Instant& ends) const {
    return is_up(at(begins)) && is_up(at(ends));
  }
  [[nodiscard]] static bool is_unclipped(const plan::Step& step, const plan::Step& original) {
    return start_of(step) == start_of(original) && end_of(step) == end_of(original);
  }

  static Instant& start_of(plan::Step& step) { return *span_of(step).first; }
  static Instant& end_of(plan::Step& step) { return *span_of(step).second; }
  static const Instant& start_of(const plan::Step& step) {
    return *span_of(const_cast<plan::Step&>(step)).first;
  }
  static const Instant& end_of(const plan::Step& step) {
    return *span_of(const_cast<plan::Step&>(step)).second;
  }
  static std::pair<Instant*, Instant*> span_of(plan::Step& step) {
    if (auto* hands = std::get_if<plan::HandsOn>(&step.what)) return {&hands->from, &hands->until};
    auto& pace = std::get<plan::Shooting>(step.what).pace;
    if (auto* every = std::get_if<plan::Every>(&pace)) return {&every->from, &every->until};
    auto& back_to_back = std::get<plan::BackToBack>(pace);
    return {&back_to_back.from, &back_to_back.until};
  }

  /// Turned around mid-eclipse, written out.
  static void turn(plan::Step& step) {
    const auto [begins, ends] = span_of(step);
    const auto first = plan::mirrored(*ends);
    *ends = plan::mirrored(*begins);
    *begins = first;
    if (auto* hands = std::get_if<plan::HandsOn>(&step.what); hands && hands->aim)
      hands->aim = plan::mirrored(*hands->aim);
  }

  /// False where less than `least` is left.
  [[nodiscard]] bool clip(plan::Step& step, Duration least) const {
    start_of(step) = clipped(start_of(step));
    end_of(step) = clipped(end_of(step));
    if (auto* hands = std::get_if<plan::HandsOn>(&step.what); hands && hands->aim)
      hands->aim = clipped(*hands->aim);
    return at(end_of(step)) - at(start_of(step)) >= least;
  }

  static plan::Step shooting(const Subject& subject, plan::Pace pace) {
    plan::Step step;
    plan::Shooting what;
    what.subject = subject;
    what.pace = std::move(pace);
    step.what = std::move(what);
    return step;
  }

  static plan::Step hands(const Instant& begins, const Instant& ends) {
    plan::Step step;
    step.what = plan::HandsOn{begins, ends, ""};
    return step;
  }

  /// Sets of the filtered Sun.
  plan::Step filtered(const Gear& gear, const Instant& begins, const Instant& ends, Duration period) const {
    auto step = shooting({SubjectKind::photosphere}, plan::Every{begins, ends, period});
    auto& what = std::get<plan::Shooting>(step.what);
    what.bracket = bracket(3, 1);
    what.exposure = exposure_for(gear, what.subject, {1});
    return step;
  }

  static plan::Step unfiltered(const Gear& gear, SubjectKind kind, const Stretch& stretch, int frames,
                               double by) {
    auto step = shooting(
        {kind}, plan::BackToBack{from(ContactName::c2, stretch.from), from(ContactName::c2, stretch.until)});
    auto& what = std::get<plan::Shooting>(step.what);
    if (frames > 1) what.bracket = bracket(frames, by);
    what.exposure = exposure_for(gear, what.subject, {by * (frames - 1) / 2});
    return step;
  }

  /// From C1 to the thin crescent, with hands at the rig in between where it doesn't follow the Sun.
  void write_crescents(const Gear& gear, Duration until_c2) {
    const auto crossing = crossing_time(gear);
    const auto last = from(ContactName::c2, -until_c2);
    const auto period =
        crossing
            ? std::clamp<Duration>(std::chrono::floor<std::chrono::minutes>(*crossing * 8 / 10), 4min, 10min)
            : Duration{5min};
    add_both(gear, "crescent", filtered(gear, from(ContactName::c1, 10s), last, period), 1min,
             "The partial phase behind the filter. The shutter is worked out for each set: for the filter, "
             "for the "
             "air, and longer as the crescent thins. Three frames, in case of haze.");
    if (!crossing) return;
    auto aim = hands(from(ContactName::c1, 80s), last);
    auto& what = std::get<plan::HandsOn>(aim.what);
    what.every = period;
    what.lasts = std::min<Duration>(period - 130s, 2min);
    add_both(gear, "follow", aim, what.lasts + 1s,
             "The Sun leaves the frame: aim ahead of it each time, so that it drifts through the middle.");
  }

  void write_total(const Gear& gear, const Totality& parts) {
    const bool fixed = crossing_time(gear).has_value();
    write_crescents(gear, fixed ? 9min : 13min);
    auto aim = fixed ? hands(from(ContactName::c2, -5min), from(ContactName::c2, -3min))
                     : hands(from(ContactName::c2, -12min), from(ContactName::c2, -9min));
    if (fixed) std::get<plan::HandsOn>(aim.what).aim = from(ContactName::mid, 0s);
    add_both(gear, "aim and focus", aim, 30s,
             fixed ? "Aim so far ahead that the Sun stands in the middle of the frame at mid-eclipse."
                   : "A person walks up to the rig: check aim, focus, card and battery.");
    const auto thin = fixed ? std::pair{-170s, 30s} : std::pair{-480s, 60s};
    add_both(gear, "thin crescent",
             filtered(gear, from(ContactName::c2, thin.first), from(ContactName::c2, -60s), thin.second), 10s,
             "The last crescent: more frames, and longer ones, the Sun's edge being darker than its middle.");
    if (parts.diamond) {
      add_both(
          gear, "diamond", unfiltered(gear, SubjectKind::diamond_ring, *parts.diamond, 3, 2), 1s,
          "The filter comes off, by a cue. The last spark of the Sun's face beside the first of the corona.");
    }
    if (parts.beads) write_beads(gear, *parts.beads);
    if (parts.chromosphere)
      add_both(gear, "chromosphere", unfiltered(gear, SubjectKind::chromosphere, *parts.chromosphere, 1, 0),
               1s, "The red rim, gone in seconds.");
    if (parts.prominences)
      add_both(gear, "prominences", unfiltered(gear, SubjectKind::prominences, *parts.prominences, 3, 1), 1s,
               "");
    write_corona(gear, parts);
  }

  void write_beads(const Gear& gear, const Stretch& stretch) {
    auto beads = unfiltered(gear, SubjectKind::beads, stretch, 1, 0);
    const auto full = full_speed_for(*gear.body, body::Files::raw, {1, 4000});
    if (full) std::get<plan::Shooting>(beads.what).drive = body::Drive::continuous;
    add_both(gear, "beads", beads, 1s,
             full ? fmt::format(
                        "The body's own burst about the contact. Its buffer takes {:.0f} s of full speed, so "
                        "it begins no sooner: it must not be full when the last bead goes.",
                        std::min(in_seconds(*full), 99.0))
                  : "As many frames as the body takes about the contact.");
  }

  void write_corona(const Gear& gear, const Totality& parts) {
    const Subject corona{SubjectKind::corona, 0.05, 4};
    const auto& stretch = parts.corona;
    const std::string words =
        "The corona from 0.05 to 4 radii above the edge. No exposures are named: noonfall chooses those that "
        "leave the "
        "least noise in this time with this body; `noonfall check` prints them.";
    const auto begins = from(ContactName::c2, stretch.from);
    if (!parts.earthshine) {
      auto step = shooting(corona, plan::BackToBack{begins, from(ContactName::c3, -stretch.from)});
      step.name = name_of(gear, "corona");
      step.rigs = {gear.name};
      comments_.steps[step.name] = words;
      plan_.steps.push_back(std::move(step));
      return;
    }
    const auto pause = sky_.totality() / 2 - stretch.until;
    add_both(gear, "corona", shooting(corona, plan::BackToBack{begins, from(ContactName::mid, -pause)}), 1s,
             words);
    auto step =
        shooting({SubjectKind::earthshine}, plan::BackToBack{from(ContactName::mid, -*parts.earthshine),
                                                             from(ContactName::mid, *parts.earthshine)});
    step.name = name_of(gear, "earthshine");
    step.rigs = {gear.name};
    std::get<plan::Shooting>(step.what).exposure = earthshine_exposure(gear);
    comments_.steps[step.name] =
        "The Moon's face, lit by the Earth: the longest frames, in the darkest moment.";
    plan_.steps.push_back(std::move(step));
  }

  /// The lowest ISO with which a frame takes at most 4 s, with the sky as dark as the site's air makes it.
  static plan::ExposureChoice earthshine_exposure(const Gear& gear) {
    const auto& choices = profile_of(gear).choices;
    const auto brightness = exposure::brightness_of({SubjectKind::earthshine}, 0)->middle();
    auto iso = choices.isos.back();
    for (const auto choice : choices.isos) {
      if (exposure::ideal_seconds(brightness, gear.aperture, choice).value > 4) continue;
      iso = choice;
      break;
    }
    const Seconds seconds{std::min(4.0, exposure::ideal_seconds(brightness, gear.aperture, iso).value)};
    const auto shutter = exposure::nearest(seconds, choices.shutters)->value;
    plan::ExposureChoice choice;
    choice.iso = {{iso, iso}};
    choice.shutter = {{shutter, shutter}};
    return choice;
  }

  void write_annular(const Gear& gear) {
    write_crescents(gear, 3min);
    const auto ring = [](Duration out, Duration in) {
      return plan::BackToBack{from(ContactName::c2, -out), from(ContactName::c2, in)};
    };
    auto closing = shooting({SubjectKind::photosphere}, ring(10s, std::min<Duration>(10s, ring_lasts() / 4)));
    auto& what = std::get<plan::Shooting>(closing.what);
    what.exposure = exposure_for(gear, what.subject, {});
    add_both(gear, "ring closes", closing, 2s,
             "Beads run along the edge as the ring closes. The filter stays on.");
    const auto inner = std::min<Duration>(10s, ring_lasts() / 4) + 2s;
    if (ring_lasts() - 2 * inner < 15s) return;
    auto step = filtered(gear, from(ContactName::c2, inner), from(ContactName::c3, -inner),
                         ring_lasts() > 2min ? 20s : 10s);
    step.name = name_of(gear, "ring");
    step.rigs = {gear.name};
    comments_.steps[step.name] = "The ring. The filter stays on throughout.";
    plan_.steps.push_back(std::move(step));
  }

  [[nodiscard]] Duration ring_lasts() const {
    return sky_.at(ContactName::c3)->utc - sky_.at(ContactName::c2)->utc;
  }

  /// The filter stays on: from C1 to C4, closer together about mid-eclipse.
  void write_partial(const Gear& gear) {
    const auto crossing = crossing_time(gear);
    const auto period =
        crossing
            ? std::clamp<Duration>(std::chrono::floor<std::chrono::minutes>(*crossing * 8 / 10), 4min, 10min)
            : Duration{5min};
    auto crescent = filtered(gear, from(ContactName::c1, 10s), from(ContactName::c4, -10s), period);
    const auto least = 5s;
    if (clip(crescent, least)) {
      crescent.name = name_of(gear, "crescent");
      crescent.rigs = {gear.name};
      comments_.steps[crescent.name] =
          "The partial phase behind the filter, which stays on throughout. The shutter is worked out for "
          "each set.";
      auto begins = start_of(crescent);
      auto ends = end_of(crescent);
      before_.push_back(std::move(crescent));
      if (crossing) write_following(gear, begins, ends, period);
    }
  }

  void write_following(const Gear& gear, Instant begins, const Instant& ends, Duration period) {
    std::get<ContactOffset>(begins.value).offset += 70s;
    auto aim = hands(begins, ends);
    auto& what = std::get<plan::HandsOn>(aim.what);
    what.every = period;
    what.lasts = std::min<Duration>(period - 130s, 2min);
    if (at(ends) - at(begins) <= what.lasts) return;
    aim.name = name_of(gear, "follow");
    aim.rigs = {gear.name};
    comments_.steps[aim.name] = "The Sun leaves the frame: aim ahead of it each time.";
    before_.push_back(std::move(aim));
  }

  void write_landscape(const Gear& gear) {
    const bool total = totality_is_up();
    const auto about =
        total ? std::pair{ContactName::c2, ContactName::c3} : std::pair{ContactName::mid, ContactName::mid};
    auto step = shooting({SubjectKind::landscape},
                         plan::Every{from(about.first, -5min), from(about.second, 5min), total ? 10s : 60s});
    auto& what = std::get<plan::Shooting>(step.what);
    what.exposure.shutter = {
        {gear.body ? gear.body->choices.shutters.front() : exposure::Shutter{1, 4000}, {2, 1}}};
    step.name = name_of(gear, "shadow");
    step.rigs = {gear.name};
    if (!clip(step, 1min)) return;
    comments_.steps[step.name] = "The light of the landscape, followed from day to the shadow and back.";
    plan_.steps.push_back(std::move(step));
  }

  void write_cues() {
    const auto say = [&](const Instant& instant, const char* words) {
      if (is_up(at(instant))) plan_.cues.push_back({instant, words, {}});
    };
    plan_.cues.push_back(
        {from(ContactName::c1, -10min), "Ten minutes to first contact. Cards and batteries.", {}});
    if (!any_totality_) return say(from(ContactName::mid, 0s), "Mid-eclipse.");
    say(from(ContactName::c2, -150s), "Two and a half minutes to totality.");
    say(from(ContactName::mid, 0s), "Halfway. Look up.");
  }

  void write_opening() {
    std::string what = "The partial eclipse";
    if (any_totality_)
      what = fmt::format("{:.0f} s of totality", in_seconds(sky_.totality()));
    else if (sky_.kind == contacts::Kind::annular && ring_is_up())
      what = fmt::format("{:.0f} s of the ring", in_seconds(ring_lasts()));
    plan_.title = fmt::format("Eclipse of {}", noonfall::to_text(sky_.eclipse));
    comments_.plan = fmt::format(
        "{}, drafted for this place and gear. Read it, change it, and ask:\n\n"
        "noonfall check PLAN: what happens when, and what is wrong with it\n"
        "noonfall rehearse PLAN: the whole day on simulated cameras\n\n"
        "C1 first bite, C2 and C3 begin and end of totality or ring, MID halfway, C4 last bite.",
        what);
    if (sky_.kind == contacts::Kind::total && !any_totality_)
      comments_.plan +=
          totality_is_up()
              ? "\nTotality isn't certain here, or too short to handle a filter in: the filters stay on. "
                "Some kilometres further inside the path make all the difference."
              : "\nThe Sun isn't up, or too low, during totality: the filters stay on.";
    if (up_.from > sky_.at(ContactName::c1)->utc) comments_.plan += "\nThe Sun rises eclipsed.";
    if (up_.until < sky_.at(ContactName::c4)->utc) comments_.plan += "\nThe Sun sets eclipsed.";
  }

  const Request& request_;
  const contacts::Circumstances& sky_;
  contacts::TimeSpan up_;
  plan::Plan plan_;
  plan::Comments comments_;
  std::vector<plan::Step> before_;
  std::vector<plan::Step> after_;  // from mid-eclipse outwards, turned around at the end
  bool any_totality_ = false;
};

}  // namespace

std::optional<Drafted> draft(const Request& request, const contacts::Circumstances& sky) {
  const Degrees horizon{request.site.horizon.value_or(Degrees{0}).value + clear_of_horizon.value};
  const auto up = contacts::eclipse_above(sky, horizon);
  if (!up || up->until - up->from < 30s) return {};
  return Writer{request, sky, *up}.write();
}

}  // namespace noonfall::draft
