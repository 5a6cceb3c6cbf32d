#include "daemon/cli/exposures_output.h"

#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <nlohmann/json.hpp>

#include "lib/exposure/brightness.h"
#include "lib/exposure/framing.h"
#include "lib/json/json.h"

namespace noonfall::cli {
namespace {

using exposure::Basis;
using exposure::GuideRow;
using nlohmann::ordered_json;

std::string miss(const exposure::Nearest<exposure::Shutter>& shutter, const ExposuresQuestion& question) {
  if (shutter.matches()) return {};
  const bool over = shutter.off > Stops{0};
  const bool at_end = shutter.value == (over ? question.shutters.front() : question.shutters.back());
  return fmt::format("{:.1f} stops {}: no {} time", std::abs(shutter.off.value), over ? "over" : "under",
                     !at_end ? "nearer"
                     : over  ? "shorter"
                             : "longer");
}

std::string trail(const GuideRow& row, const ExposuresQuestion& question) {
  if (!question.focal_length || !question.pixel) return {};
  const double one_pixel_s =
      exposure::longest_untrailed(*question.focal_length, *question.pixel, question.declination).value;
  const double pixels = exposure::exact_seconds(row.shutter->value) / one_pixel_s;
  return pixels > 1 ? fmt::format("trails {:.{}f} pixels on a fixed mount", pixels, pixels < 10 ? 1 : 0)
                    : std::string{};
}

std::string seconds_text(Seconds time) {
  if (time.value < 0.1) return fmt::format("1/{:.0f} s", 1 / time.value);
  return fmt::format("{:.{}f} s", time.value, time.value < 10 ? 2 : 0);
}

std::string subject_text(const GuideRow& row, const ExposuresQuestion& question) {
  if (row.subject.kind != exposure::SubjectKind::photosphere) return to_text(row.subject);
  return fmt::format("photosphere, filter {:.1f}", question.filter_density);
}

std::string line(const GuideRow& row, const ExposuresQuestion& question) {
  const bool known = row.shutter.has_value();
  const auto text = fmt::format("{:<25} {:>5}  {:>9}  {:>8}  {}", subject_text(row, question),
                                known ? fmt::format("{:.1f}", row.brightness->middle().q) : "-",
                                known ? seconds_text(*row.ideal) : "-",
                                known ? to_text(row.shutter->value) : "-", note_on(row, question));
  return text.substr(0, text.find_last_not_of(' ') + 1) + '\n';
}

std::string framing_text(const ExposuresQuestion& question) {
  if (!question.focal_length) return {};
  const auto f = *question.focal_length;
  auto text = fmt::format(
      "\nThe Sun's image at {:g} mm: {:.2f} mm across ({:.2f} mm by focal length / 109)\n"
      "Longest untrailed exposure on a fixed mount:\n",
      f.value, exposure::sun_image(f).value, exposure::sun_image_by_rule(f).value);
  if (question.pixel) {
    text += fmt::format("  {:.3f} s for one pixel of {:g} um at declination {:g} degrees\n",
                        exposure::longest_untrailed(f, *question.pixel, question.declination).value,
                        question.pixel->value, question.declination.value);
  }
  return text + fmt::format("  {:.2f} s by the film-era rule 340 / focal length, a trail of 25 um\n",
                            exposure::longest_untrailed_on_film(f).value);
}

/// Broken at spaces, further lines indented.
std::string wrapped(std::string_view text) {
  constexpr std::size_t width = 96;
  std::string lines;
  std::string indent;
  while (text.size() + indent.size() > width) {
    const auto space = text.rfind(' ', width - indent.size());
    lines += fmt::format("{}{}\n", indent, text.substr(0, space));
    text.remove_prefix(space + 1);
    indent = "  ";
  }
  return lines + fmt::format("{}{}\n", indent, text);
}

/// Digits beyond what anybody can set are noise in a diff.
double thousandths(double value) {
  return std::round(value * 1000) / 1000;
}

double four_figures(double value) {
  const double scale = std::pow(10, 3 - std::floor(std::log10(value)));
  return std::round(value * scale) / scale;
}

ordered_json to_json(const GuideRow& row, const ExposuresQuestion& question) {
  ordered_json json{{"subject", to_text(row.subject)}};
  const bool known = row.shutter.has_value();
  json["q"] = known ? ordered_json(thousandths(row.brightness->middle().q)) : ordered_json(nullptr);
  json["basis"] = known ? ordered_json(to_text(row.brightness->basis)) : ordered_json(nullptr);
  json["seconds"] = known ? ordered_json(four_figures(row.ideal->value)) : ordered_json(nullptr);
  json["shutter"] = known ? ordered_json(to_text(row.shutter->value)) : ordered_json(nullptr);
  json["off_stops"] = known ? ordered_json(thousandths(row.shutter->off.value)) : ordered_json(nullptr);
  json["note"] = note_on(row, question);
  return json;
}

ordered_json framing_json(const ExposuresQuestion& question) {
  if (!question.focal_length) return nullptr;
  const auto f = *question.focal_length;
  ordered_json json{
      {"focal_length_mm", f.value},
      {"sun_image_mm", four_figures(exposure::sun_image(f).value)},
      {"sun_image_by_rule_mm", four_figures(exposure::sun_image_by_rule(f).value)},
      {"longest_untrailed_s", nullptr},
      {"longest_untrailed_on_film_s", four_figures(exposure::longest_untrailed_on_film(f).value)}};
  if (question.pixel) {
    json["longest_untrailed_s"] =
        four_figures(exposure::longest_untrailed(f, *question.pixel, question.declination).value);
  }
  return json;
}

}  // namespace

std::string note_on(const GuideRow& row, const ExposuresQuestion& question) {
  if (!row.shutter) return "nothing published: meter it on the day";
  std::vector<std::string> parts;
  if (row.brightness->basis != Basis::table_row) parts.emplace_back(to_text(row.brightness->basis));
  for (auto& part : {miss(*row.shutter, question), trail(row, question)}) {
    if (!part.empty()) parts.push_back(part);
  }
  return fmt::format("{}", fmt::join(parts, "; "));
}

std::vector<std::string> cautions() {
  const auto low_sun = [](double altitude_deg) {
    return exposure::low_sun_stops(Degrees{altitude_deg}).value;
  };
  return {
      "Outside totality the camera filter stays on, in front of the lens. Camera filter off only inside "
      "totality, never at a partial or annular eclipse.",
      "These times are for the camera and say nothing about eyes: keep to local rules and to the advice of "
      "eye-care professionals.",
      "A thin crescent may need up to two stops more (NASA RP 1369): bracket it.",
      fmt::format("In clear air a Sun 20 degrees high needs {:.1f} stops more, at 10 degrees {:.1f}, at 5 "
                  "degrees {:.1f}; haze takes more.",
                  low_sun(20), low_sun(10), low_sun(5)),
      "Try the filtered exposure on the Sun some days before: filters differ by a stop.",
  };
}

std::string exposures_text(const ExposuresQuestion& question) {
  auto text = fmt::format("Exposures at {}, {}{}\n\n", to_text(question.aperture), to_text(question.iso),
                          question.body.empty() ? "" : ", body " + question.body);
  text += fmt::format("{:<25} {:>5}  {:>9}  {:>8}  {}\n", "subject", "Q", "formula", "set", "note");
  const exposure::Gear gear{question.aperture, question.iso, question.filter_density, question.shutters};
  for (const auto& row : exposure_guide(gear)) text += line(row, question);
  const auto& table = exposure::published_brightness();
  text += fmt::format(
      "\nt = N^2 / (ISO * 2^Q), corona heights in solar radii above the limb. Q from the {} edition:\n{}\n",
      table.edition, table.source);
  text += framing_text(question) + '\n';
  for (const auto& caution : cautions()) text += wrapped(caution);
  return text;
}

std::string exposures_json(const ExposuresQuestion& question) {
  const exposure::Gear gear{question.aperture, question.iso, question.filter_density, question.shutters};
  auto rows = ordered_json::array();
  for (const auto& row : exposure_guide(gear)) rows.push_back(to_json(row, question));
  const auto& table = exposure::published_brightness();
  const ordered_json whole{
      {"aperture", to_text(question.aperture)},
      {"iso", question.iso.value},
      {"filter_density", question.filter_density},
      {"body", question.body.empty() ? ordered_json(nullptr) : ordered_json(question.body)},
      {"edition", table.edition},
      {"source", table.source},
      {"rows", std::move(rows)},
      {"framing", framing_json(question)},
      {"cautions", cautions()}};
  return json::to_indented(whole);
}

}  // namespace noonfall::cli
