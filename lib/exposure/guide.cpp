#include "lib/exposure/guide.h"

namespace noonfall::exposure {
namespace {

GuideRow row_for(const Subject& subject, const Gear& gear) {
  GuideRow row{.subject = subject, .brightness = brightness_of(subject, gear.filter_density)};
  if (!row.brightness) return row;
  row.ideal = ideal_seconds(row.brightness->middle(), gear.aperture, gear.iso);
  row.shutter = nearest(*row.ideal, gear.shutters);
  return row;
}

}  // namespace

std::vector<GuideRow> exposure_guide(const Gear& gear) {
  std::vector<GuideRow> rows{row_for({SubjectKind::photosphere}, gear)};
  for (const auto& printed : published_brightness().rows) {
    if (printed.subject.kind != SubjectKind::photosphere) rows.push_back(row_for(printed.subject, gear));
  }
  rows.push_back(row_for({SubjectKind::earthshine}, gear));
  rows.push_back(row_for({SubjectKind::landscape}, gear));
  return rows;
}

}  // namespace noonfall::exposure
