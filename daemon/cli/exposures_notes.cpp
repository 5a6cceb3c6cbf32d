#include "daemon/cli/exposures_notes.h"

#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "lib/exposure/atmosphere.h"
#include "lib/exposure/framing.h"

namespace noonfall::cli {
namespace {

using exposure::Basis;
using exposure::GuideRow;

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

}  // namespace noonfall::cli
