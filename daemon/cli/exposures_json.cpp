#include <cmath>

#include <nlohmann/json.hpp>

#include "daemon/cli/exposures_notes.h"
#include "daemon/cli/exposures_output.h"
#include "lib/exposure/framing.h"
#include "lib/json/json.h"

namespace noonfall::cli {
namespace {

using exposure::GuideRow;
using nlohmann::ordered_json;

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
