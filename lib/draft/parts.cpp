#include "lib/draft/parts.h"

#include <algorithm>

#include <fmt/format.h>

#include "lib/draft/gear.h"
#include "lib/draft/visits.h"

namespace noonfall::draft {
namespace {

using namespace std::chrono_literals;
using contacts::ContactName;
using contacts::TimeSpan;
using exposure::Subject;
using exposure::SubjectKind;
using plan::Instant;

bool is_fixed(const Gear& gear) {
  return crossing_time(gear).has_value();
}

/// From C1 to the thin crescent, with hands at the rig in between where it doesn't follow the Sun.
void write_crescents(const Gear& gear, Duration until_c2, Book& book) {
  const auto last = from(ContactName::c2, -until_c2);
  const auto period = book.period();
  book.add_both(
      gear, "crescent", filtered(gear, from(ContactName::c1, 10s), last, period), 1min,
      "The partial phase behind the filter. The shutter is worked out for each set: for the filter, for the "
      "air, and longer as the crescent thins. Three frames, in case of haze.");
  if (!is_fixed(gear)) return;
  book.add_both(gear, "follow", following(from(ContactName::c1, 10s), last, period), 4min,
                "The Sun leaves the frame: aim ahead of it each time, so that it drifts through the middle.");
}

/// Before the inner contacts, and after them.
void write_aim_and_focus(const Gear& gear, const Visits& visits, const char* what, Book& book) {
  if (!is_fixed(gear)) {
    book.add_both(gear, "aim and focus", hands(from(ContactName::c2, -12min), from(ContactName::c2, -9min)),
                  30s, "A person walks up to the rig: check aim, focus, card and battery.");
    return;
  }
  auto aim = hands(from(ContactName::c2, -5min), from(ContactName::c2, -3min));
  if (visits.middles.empty()) std::get<plan::HandsOn>(aim.what).aim = from(ContactName::mid, 0s);
  book.add_both(
      gear, "aim and focus", aim, 30s,
      visits.middles.empty()
          ? std::string{"Aim so far ahead that the Sun stands in the middle of the frame at mid-eclipse."}
          : fmt::format(
                "Aim ahead, for the middle of the frames up to the next visit: the Sun doesn't stay in "
                "the frame for all of {}. `noonfall check` says where to.",
                what));
}

/// One step, or where the rig is aimed anew meanwhile its parts with the visits between them.
void write_with_visits(const Gear& gear, const std::string& name, TimeSpan span, const Visits& visits,
                       const contacts::Circumstances& sky, auto step_of, const std::string& comment,
                       Book& book) {
  const auto c2 = sky.at(ContactName::c2)->utc;
  const auto c3 = sky.at(ContactName::c3)->utc;
  const auto last = from(ContactName::c3, span.until - c3);
  auto begins = from(ContactName::c2, span.from - c2);
  for (std::size_t n = 0; n < visits.middles.size(); ++n) {
    const auto middle = std::chrono::round<std::chrono::seconds>(visits.middles[n] - c2);
    const auto visit = [&](Duration away) { return from(ContactName::c2, middle + away); };
    book.add_one(gear, fmt::format("{} {}", name, n + 1), step_of(begins, visit(-half_a_visit)), 1s,
                 n == 0 ? comment : "");
    book.add_one(
        gear, fmt::format("aim again {}", n + 1), hands(visit(-half_a_visit), visit(half_a_visit)), 1s,
        n == 0 ? "The Sun would leave the frame: be quick, and hands off before the frames go on." : "");
    begins = visit(half_a_visit);
  }
  const auto number = visits.middles.empty() ? name : fmt::format("{} {}", name, visits.middles.size() + 1);
  book.add_one(gear, number, step_of(begins, last), 1s, visits.middles.empty() ? comment : "");
}

void write_beads(const Gear& gear, const Stretch& stretch, Book& book) {
  auto beads = unfiltered(gear, SubjectKind::beads, stretch, 1, 0);
  const auto full = full_speed_for(*gear.body, body::Files::raw, {1, 4000});
  if (full) std::get<plan::Shooting>(beads.what).drive = body::Drive::continuous;
  book.add_both(
      gear, "beads", beads, 1s,
      full ? fmt::format("The body's own burst about the contact. Its buffer takes {:.0f} s of full "
                         "speed, so it begins no sooner: it must not be full when the last bead goes.",
                         std::min(in_seconds(*full), 99.0))
           : "As many frames as the body takes about the contact.");
}

void write_corona(const Gear& gear, const Totality& parts, const Visits& visits,
                  const contacts::Circumstances& sky, Book& book) {
  const Subject corona{SubjectKind::corona, 0.05, 4};
  const auto& stretch = parts.corona;
  const std::string words =
      "The corona from 0.05 to 4 radii above the edge. No exposures are named: noonfall chooses those that "
      "leave the least noise in this time with this body; `noonfall check` prints them.";
  const auto begins = from(ContactName::c2, stretch.from);
  if (!parts.earthshine) {
    const TimeSpan whole{sky.at(ContactName::c2)->utc + stretch.from,
                         sky.at(ContactName::c3)->utc - stretch.from};
    const auto step_of = [&](const Instant& first, const Instant& last) {
      return shooting(corona, plan::BackToBack{first, last});
    };
    write_with_visits(gear, "corona", whole, visits, sky, step_of, words, book);
    return;
  }
  const auto pause = sky.totality() / 2 - stretch.until;
  book.add_both(gear, "corona", shooting(corona, plan::BackToBack{begins, from(ContactName::mid, -pause)}),
                1s, words);
  auto step =
      shooting({SubjectKind::earthshine}, plan::BackToBack{from(ContactName::mid, -*parts.earthshine),
                                                           from(ContactName::mid, *parts.earthshine)});
  std::get<plan::Shooting>(step.what).exposure = earthshine_exposure(gear);
  book.add_one(gear, "earthshine", std::move(step), 1s,
               "The Moon's face, lit by the Earth: the longest frames, in the darkest moment.");
}

void write_thin_crescents(const Gear& gear, Duration start, const Visits& visits, Book& book) {
  const bool fixed = is_fixed(gear);
  const auto reach = std::chrono::floor<std::chrono::seconds>(visits.room - start - 4s);  // before C2
  const Duration earliest = fixed ? -std::min<Duration>(170s, reach) : Duration{-480s};
  book.add_both(
      gear, "thin crescent",
      filtered(gear, from(ContactName::c2, earliest), from(ContactName::c2, -60s),
               fixed ? Duration{30s} : Duration{60s}),
      10s, "The last crescent: more frames, and longer ones, the Sun's edge being darker than its middle.");
}

}  // namespace

bool inner_contacts_are_up(const contacts::Circumstances& sky, const Book& book) {
  return book.is_up(sky.at(ContactName::c2)->utc - 20s) && book.is_up(sky.at(ContactName::c3)->utc + 20s);
}

void write_total(const Gear& gear, const Totality& parts, const contacts::Circumstances& sky, Book& book) {
  const auto c2 = sky.at(ContactName::c2)->utc;
  const auto c3 = sky.at(ContactName::c3)->utc;
  const auto start = parts.diamond ? parts.diamond->from : parts.beads ? parts.beads->from : Duration{0s};
  const auto visits =
      visits_for(gear, sky, {c2 + start, c3 - start}, {c2 + parts.corona.from, c3 - parts.corona.from});
  write_crescents(gear, book.last_followed(), book);
  write_aim_and_focus(gear, visits, "totality", book);
  write_thin_crescents(gear, start, visits, book);
  if (parts.diamond) {
    book.add_both(
        gear, "diamond", unfiltered(gear, SubjectKind::diamond_ring, *parts.diamond, 3, 2), 1s,
        "The filter comes off, by a cue. The last spark of the Sun's face beside the first of the corona.");
  }
  if (parts.beads) write_beads(gear, *parts.beads, book);
  if (parts.chromosphere)
    book.add_both(gear, "chromosphere",
                  unfiltered(gear, SubjectKind::chromosphere, *parts.chromosphere, 1, 0), 1s,
                  "The red rim, gone in seconds.");
  if (parts.prominences)
    book.add_both(gear, "prominences", unfiltered(gear, SubjectKind::prominences, *parts.prominences, 3, 1),
                  1s, "");
  write_corona(gear, parts, visits, sky, book);
}

void write_annular(const Gear& gear, const contacts::Circumstances& sky, Book& book) {
  const auto c2 = sky.at(ContactName::c2)->utc;
  const auto c3 = sky.at(ContactName::c3)->utc;
  const auto lasts = c3 - c2;
  const auto inner = std::min<Duration>(10s, lasts / 4) + 2s;
  const auto visits = visits_for(gear, sky, {c2 - 10s, c3 + 10s}, {c2 + inner, c3 - inner});
  write_crescents(gear, is_fixed(gear) ? 9min : 3min, book);
  if (is_fixed(gear)) write_aim_and_focus(gear, visits, "the ring", book);
  auto closing = shooting({SubjectKind::photosphere},
                          plan::BackToBack{from(ContactName::c2, -10s), from(ContactName::c2, inner - 2s)});
  auto& what = std::get<plan::Shooting>(closing.what);
  what.exposure = exposure_for(gear, what.subject, {});
  book.add_both(gear, "ring closes", closing, 2s,
                "Beads run along the edge as the ring closes. The filter stays on.");
  if (lasts - 2 * inner < 15s) return;
  const auto step_of = [&](const Instant& first, const Instant& last) {
    return filtered(gear, first, last, lasts > 2min ? 20s : 10s);
  };
  write_with_visits(gear, "ring", {c2 + inner, c3 - inner}, visits, sky, step_of,
                    "The ring. The filter stays on throughout.", book);
}

void write_partial(const Gear& gear, Book& book) {
  const auto begins = from(ContactName::c1, 10s);
  const auto ends = from(ContactName::c4, -10s);
  const auto period = book.period();
  book.add_one(gear, "crescent", filtered(gear, begins, ends, period), 5s,
               "The partial phase behind the filter, which stays on throughout. The shutter is worked out "
               "for each set.");
  if (!is_fixed(gear)) return;
  book.add_one(gear, "follow", following(begins, ends, period), 4min,
               "The Sun leaves the frame: aim ahead of it each time.");
}

void write_landscape(const Gear& gear, const contacts::Circumstances& sky, Book& book) {
  const bool total = sky.kind == contacts::Kind::total && inner_contacts_are_up(sky, book);
  const auto about =
      total ? std::pair{ContactName::c2, ContactName::c3} : std::pair{ContactName::mid, ContactName::mid};
  auto step = shooting({SubjectKind::landscape},
                       plan::Every{from(about.first, -5min), from(about.second, 5min), total ? 10s : 60s});
  auto& what = std::get<plan::Shooting>(step.what);
  what.exposure.shutter = {
      {gear.body ? gear.body->choices.shutters.front() : exposure::Shutter{1, 4000}, {2, 1}}};
  book.add_one(gear, "shadow", std::move(step), 1min,
               "The light of the landscape, followed from day to the shadow and back.");
}

}  // namespace noonfall::draft
