#include "daemon/preflight/items.h"

#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "lib/contacts/circumstances.h"
#include "lib/contacts/elements.h"

namespace noonfall::preflight {
namespace {

constexpr double near_enough_m = 100;       // moves no contact by 0.1 s
constexpr double moves_too_much_s = 1;      // reference: a second is what the pictures at C2 and C3 stand
constexpr double least_room_mb = 200;       // a log of a day is some 10 MB (common practice, no source)
constexpr int low_battery_percent = 50;     // common practice, no source
constexpr double earth_radius_m = 6371008;  // mean, WGS 84

/// Haversine, on a sphere: within 0.6 % of the ellipsoid's.
double distance_m(const contacts::Site& a, const clock::GpsPosition& b) {
  const auto radians = [](double degrees) { return degrees * std::numbers::pi / 180; };
  const double north = std::sin(radians(b.latitude.value - a.latitude.value) / 2);
  const double east = std::sin(radians(b.longitude.value - a.longitude.value) / 2);
  const double chord =
      north * north + std::cos(radians(a.latitude.value)) * std::cos(radians(b.latitude.value)) * east * east;
  return 2 * earth_radius_m * std::asin(std::min(1.0, std::sqrt(chord)));
}

std::string distance_text(double metres) {
  return metres < 1000 ? fmt::format("{:.0f} m", metres) : fmt::format("{:.0f} km", metres / 1000);
}

}  // namespace

std::string to_text(const Item& item) {
  constexpr const char* words[] = {"pass", "warn", "FAIL"};
  auto out = fmt::format("{} {}: {}", words[static_cast<std::size_t>(item.verdict)], item.name, item.words);
  if (!item.remedy.empty()) out += "\n       do: " + item.remedy;
  return out;
}

Item judge_clock(const shotlog::ClockState& clock, const std::string& source) {
  Item item{.name = "clock", .words = fmt::format("grade {}, {}", shotlog::to_text(clock.grade), source)};
  if (clock.grade == shotlog::ClockGrade::c) item.verdict = Verdict::warn;
  if (clock.grade == shotlog::ClockGrade::f) item.verdict = Verdict::fail;
  if (item.verdict != Verdict::pass)
    item.remedy = "chronyd or a GPS receiver with gpsd (docs/timing.md); else compare it and say `clock ok`";
  return item;
}

Item judge_site(const contacts::Circumstances& planned, const LeapSeconds& leap_seconds,
                const std::optional<clock::GpsPosition>& here) {
  using contacts::ContactName;
  if (!here)
    return {"site", Verdict::warn, "no GPS receiver tells where this is",
            "latitude and longitude of the plan compared with a map or telephone"};
  const auto away = distance_m(planned.site, *here);
  auto words = fmt::format("{} from the plan's site", distance_text(away));
  if (away <= near_enough_m + here->accuracy.value_or(Metres{0}).value)
    return {"site", Verdict::pass, std::move(words), {}};
  const auto* elements = contacts::find_elements(contacts::built_in_elements(), planned.eclipse);
  if (elements == nullptr) return {"site", Verdict::warn, std::move(words), "the plan's site looked at"};
  auto settings = contacts::settings_for(leap_seconds, {}, planned.dut1);
  const auto at = [&](const contacts::Site& site) {
    return contacts::circumstances(*elements, site, settings);
  };
  const auto there = at(planned.site);
  const auto now = at({here->latitude, here->longitude, planned.site.height});
  const bool central = there.at(ContactName::c2).has_value();
  const auto name = central ? ContactName::c2 : ContactName::c1;
  const char* remedy = "the plan's site changed to where you are; --amend takes the new one";
  if (!there.at(name) || !now.at(name) || there.kind != now.kind)
    return {"site", Verdict::fail,
            fmt::format("{}: the eclipse is {} here, {} there", words, contacts::to_text(now.kind),
                        contacts::to_text(there.kind)),
            remedy};
  const auto differs = std::abs(in_seconds(now.at(name)->utc - there.at(name)->utc));
  words += fmt::format(": {} differs by {:.{}f} s", contacts::to_text(name), differs, differs < 10 ? 1 : 0);
  return {"site", differs > moves_too_much_s ? Verdict::fail : Verdict::warn, std::move(words), remedy};
}

Item judge_power(const Power& power) {
  Item item{"power", Verdict::pass, power.mains.value_or(true) ? "mains" : "battery", {}};
  if (!power.mains && !power.battery_percent) item.words = "the machine has no battery, or tells of none";
  if (power.battery_percent) item.words += fmt::format(", battery at {} %", *power.battery_percent);
  if (power.mains == false) {
    item.verdict = power.battery_percent.value_or(0) < low_battery_percent ? Verdict::fail : Verdict::warn;
    item.remedy = "the machine on mains or a power pack";
  }
  if (power.lid_open == false) {
    item.words += ", the lid closed";
    item.verdict = std::max(item.verdict, Verdict::warn);
    item.remedy += item.remedy.empty() ? "the lid open" : ", the lid open";
  }
  return item;
}

Item judge_room(Megabytes free) {
  Item item{"disk", Verdict::pass, fmt::format("{:.0f} MB free where the run is kept", free.value), {}};
  if (free.value < least_room_mb) {
    item.verdict = Verdict::fail;
    item.remedy = fmt::format("{:.0f} MB or more made free, or another folder with --state", least_room_mb);
  }
  return item;
}

Items judge_body(const std::string& rig, const std::optional<body::Description>& told, const std::string& why,
                 const body::Demand& demand) {
  if (!told)
    return {{rig, Verdict::fail, why.empty() ? "its body isn't on a cable" : why,
             "switched on, plugged in at both ends, held by no other program (docs/cameras.md)"}};
  Items items;
  for (const auto& finding : obstacles(*told, demand))
    items.push_back({rig, finding.severity == Severity::error ? Verdict::fail : Verdict::warn,
                     finding.message, finding.hint});
  if (items.empty()) items.push_back({rig, Verdict::pass, told->model + " is set as it should be", {}});
  auto look_up = untold(*told);
  look_up.insert(look_up.end(), {"white balance fixed", "stabilisation off", "what a second card slot does",
                                 "the file counter"});
  std::string words;
  for (const auto& each : look_up) words += (words.empty() ? "" : ", ") + each;
  items.push_back({rig, Verdict::warn, "the body doesn't tell: " + words, "looked up in its menu"});
  return items;
}

}  // namespace noonfall::preflight
