#include "lib/draft/draft.h"

#include <algorithm>

#include <fmt/format.h>

#include "lib/contacts/sky_track.h"
#include "lib/draft/book.h"
#include "lib/draft/gear.h"
#include "lib/draft/phases.h"
#include "lib/exposure/scale.h"

namespace noonfall::draft {
namespace {

using namespace std::chrono_literals;
using contacts::ContactName;
using exposure::Subject;
using exposure::SubjectKind;
using plan::Instant;

constexpr Degrees clear_of_horizon{1};  // above it, where the Sun's lower edge and some haze are left behind

bool is_landscape(const Gear& gear) {
  return !gear.filter_density;
}

class Writer {
 public:
  Writer(const Request& request, const contacts::Circumstances& sky, contacts::TimeSpan up)
      : request_{request}, sky_{sky}, up_{up}, book_{sky, up, request.rigs.size() > 1} {
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
    plan_.steps = book_.finish();
    comments_.steps = book_.comments();
    write_cues();
    write_opening();
    return {std::move(plan_), std::move(comments_)};
  }

 private:
  [[nodiscard]] bool inner_contacts_are_up() const {
    return book_.is_up(sky_.at(ContactName::c2)->utc - 20s) &&
           book_.is_up(sky_.at(ContactName::c3)->utc + 20s);
  }
  [[nodiscard]] bool totality_is_up() const {
    return sky_.kind == contacts::Kind::total && inner_contacts_are_up();
  }
  [[nodiscard]] bool ring_is_up() const { return inner_contacts_are_up(); }

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

  /// From C1 to the thin crescent, with hands at the rig in between where it doesn't follow the Sun.
  void write_crescents(const Gear& gear, Duration until_c2) {
    const auto last = from(ContactName::c2, -until_c2);
    const auto period = period_of_sets(gear);
    book_.add_both(gear, "crescent", filtered(gear, from(ContactName::c1, 10s), last, period), 1min,
                   "The partial phase behind the filter. The shutter is worked out for each set: for the "
                   "filter, for the "
                   "air, and longer as the crescent thins. Three frames, in case of haze.");
    if (!crossing_time(gear)) return;
    book_.add_both(
        gear, "follow", following(from(ContactName::c1, 10s), last, period), 4min,
        "The Sun leaves the frame: aim ahead of it each time, so that it drifts through the middle.");
  }

  void write_total(const Gear& gear, const Totality& parts) {
    const bool fixed = crossing_time(gear).has_value();
    write_crescents(gear, fixed ? 9min : 13min);
    auto aim = fixed ? hands(from(ContactName::c2, -5min), from(ContactName::c2, -3min))
                     : hands(from(ContactName::c2, -12min), from(ContactName::c2, -9min));
    if (fixed) std::get<plan::HandsOn>(aim.what).aim = from(ContactName::mid, 0s);
    book_.add_both(gear, "aim and focus", aim, 30s,
                   fixed ? "Aim so far ahead that the Sun stands in the middle of the frame at mid-eclipse."
                         : "A person walks up to the rig: check aim, focus, card and battery.");
    const auto thin = fixed ? std::pair{-170s, 30s} : std::pair{-480s, 60s};
    book_.add_both(
        gear, "thin crescent",
        filtered(gear, from(ContactName::c2, thin.first), from(ContactName::c2, -60s), thin.second), 10s,
        "The last crescent: more frames, and longer ones, the Sun's edge being darker than its middle.");
    if (parts.diamond) {
      book_.add_both(
          gear, "diamond", unfiltered(gear, SubjectKind::diamond_ring, *parts.diamond, 3, 2), 1s,
          "The filter comes off, by a cue. The last spark of the Sun's face beside the first of the corona.");
    }
    if (parts.beads) write_beads(gear, *parts.beads);
    if (parts.chromosphere)
      book_.add_both(gear, "chromosphere",
                     unfiltered(gear, SubjectKind::chromosphere, *parts.chromosphere, 1, 0), 1s,
                     "The red rim, gone in seconds.");
    if (parts.prominences)
      book_.add_both(gear, "prominences",
                     unfiltered(gear, SubjectKind::prominences, *parts.prominences, 3, 1), 1s, "");
    write_corona(gear, parts);
  }

  void write_beads(const Gear& gear, const Stretch& stretch) {
    auto beads = unfiltered(gear, SubjectKind::beads, stretch, 1, 0);
    const auto full = full_speed_for(*gear.body, body::Files::raw, {1, 4000});
    if (full) std::get<plan::Shooting>(beads.what).drive = body::Drive::continuous;
    book_.add_both(
        gear, "beads", beads, 1s,
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
      auto whole = shooting(corona, plan::BackToBack{begins, from(ContactName::c3, -stretch.from)});
      book_.add_one(gear, "corona", std::move(whole), 1s, words);
      return;
    }
    const auto pause = sky_.totality() / 2 - stretch.until;
    book_.add_both(gear, "corona", shooting(corona, plan::BackToBack{begins, from(ContactName::mid, -pause)}),
                   1s, words);
    auto step =
        shooting({SubjectKind::earthshine}, plan::BackToBack{from(ContactName::mid, -*parts.earthshine),
                                                             from(ContactName::mid, *parts.earthshine)});
    std::get<plan::Shooting>(step.what).exposure = earthshine_exposure(gear);
    book_.add_one(gear, "earthshine", std::move(step), 1s,
                  "The Moon's face, lit by the Earth: the longest frames, in the darkest moment.");
  }

  void write_annular(const Gear& gear) {
    write_crescents(gear, 3min);
    const auto ring = [](Duration out, Duration in) {
      return plan::BackToBack{from(ContactName::c2, -out), from(ContactName::c2, in)};
    };
    auto closing = shooting({SubjectKind::photosphere}, ring(10s, std::min<Duration>(10s, ring_lasts() / 4)));
    auto& what = std::get<plan::Shooting>(closing.what);
    what.exposure = exposure_for(gear, what.subject, {});
    book_.add_both(gear, "ring closes", closing, 2s,
                   "Beads run along the edge as the ring closes. The filter stays on.");
    const auto inner = std::min<Duration>(10s, ring_lasts() / 4) + 2s;
    if (ring_lasts() - 2 * inner < 15s) return;
    auto step = filtered(gear, from(ContactName::c2, inner), from(ContactName::c3, -inner),
                         ring_lasts() > 2min ? 20s : 10s);
    book_.add_one(gear, "ring", std::move(step), 1s, "The ring. The filter stays on throughout.");
  }

  [[nodiscard]] Duration ring_lasts() const {
    return sky_.at(ContactName::c3)->utc - sky_.at(ContactName::c2)->utc;
  }

  /// The filter stays on: from C1 to C4.
  void write_partial(const Gear& gear) {
    const auto begins = from(ContactName::c1, 10s);
    const auto ends = from(ContactName::c4, -10s);
    const auto period = period_of_sets(gear);
    book_.add_one(gear, "crescent", filtered(gear, begins, ends, period), 5s,
                  "The partial phase behind the filter, which stays on throughout. The shutter is worked out "
                  "for each set.");
    if (!crossing_time(gear)) return;
    book_.add_one(gear, "follow", following(begins, ends, period), 4min,
                  "The Sun leaves the frame: aim ahead of it each time.");
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
    book_.add_one(gear, "shadow", std::move(step), 1min,
                  "The light of the landscape, followed from day to the shadow and back.");
  }

  void write_cues() {
    const auto say = [&](const Instant& instant, const char* words) {
      if (book_.is_up(book_.at(instant))) plan_.cues.push_back({instant, words, {}});
    };
    plan_.cues.push_back(
        {from(ContactName::c1, -10min), "Ten minutes to first contact. Cards and batteries.", {}});
    const bool hands_follow = std::ranges::any_of(
        request_.rigs, [](const Gear& gear) { return gear.filter_density && crossing_time(gear); });
    if (!any_totality_ && hands_follow) return;  // their cues may fall on any instant
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
  Book book_;
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
