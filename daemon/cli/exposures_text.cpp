#include <fmt/format.h>

#include "daemon/cli/exposures_notes.h"
#include "daemon/cli/exposures_output.h"
#include "lib/exposure/framing.h"

namespace noonfall::cli {
namespace {

using exposure::GuideRow;

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

}  // namespace

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

}  // namespace noonfall::cli
