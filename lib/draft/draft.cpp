#include "lib/draft/draft.h"

#include <algorithm>

#include <fmt/format.h>

#include "lib/contacts/sky_track.h"
#include "lib/draft/book.h"
#include "lib/draft/gear.h"
#include "lib/draft/parts.h"
#include "lib/draft/phases.h"
#include "lib/exposure/scale.h"

namespace noonfall::draft {
namespace {

using namespace std::chrono_literals;
using contacts::ContactName;
using plan::Instant;

constexpr Degrees clear_of_horizon{1};  // above it, where the Sun's lower edge and some haze are left behind

bool is_landscape(const Gear& gear) {
  return !gear.filter_density;
}

class Writer {
 public:
  Writer(const Request& request, const contacts::Circumstances& sky, contacts::TimeSpan up)
      : request_{request}, sky_{sky}, up_{up}, book_{sky, up, request.rigs} {
    plan_.eclipse = sky.eclipse;
    plan_.site = request.site;
  }

  Drafted write() {
    std::size_t place = 0;
    for (const auto& gear : request_.rigs) {
      std::optional<Totality> totality;
      if (!is_landscape(gear) && totality_is_up())
        totality = totality_for(gear, sky_, place++, request_.beads_last);
      write_rig(gear, totality);
      if (is_landscape(gear))
        write_landscape(gear, sky_, book_);
      else if (totality)
        write_total(gear, *totality, sky_, book_);
      else if (sky_.kind == contacts::Kind::annular && inner_contacts_are_up(sky_, book_))
        write_annular(gear, sky_, book_);
      else
        write_partial(gear, book_);
      any_totality_ = any_totality_ || totality.has_value();
    }
    plan_.steps = book_.finish();
    comments_.steps = book_.comments();
    write_cues();
    write_opening();
    return {std::move(plan_), std::move(comments_)};
  }

 private:
  [[nodiscard]] bool totality_is_up() const {
    return sky_.kind == contacts::Kind::total && inner_contacts_are_up(sky_, book_);
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
    say(from(ContactName::mid, is_aimed_at_mid() ? 15s : 0s), "Halfway. Look up.");
  }

  [[nodiscard]] bool is_aimed_at_mid() const {
    const auto mid = sky_.at(ContactName::mid)->utc;
    return std::ranges::any_of(plan_.steps, [&](const plan::Step& step) {
      const auto* hands = std::get_if<plan::HandsOn>(&step.what);
      return hands != nullptr && book_.at(hands->from) <= mid && mid <= book_.at(hands->until);
    });
  }

  void write_opening() {
    std::string what = "The partial eclipse";
    if (any_totality_)
      what = fmt::format("{:.0f} s of totality", in_seconds(sky_.totality()));
    else if (sky_.kind == contacts::Kind::annular && inner_contacts_are_up(sky_, book_))
      what = fmt::format("{:.0f} s of the ring",
                         in_seconds(sky_.at(ContactName::c3)->utc - sky_.at(ContactName::c2)->utc));
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
