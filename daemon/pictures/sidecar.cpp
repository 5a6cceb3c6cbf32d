#include "daemon/pictures/sidecar.h"

#include <fmt/format.h>
#include <exiv2/exiv2.hpp>

#include "daemon/pictures/exiv.h"
#include "lib/base/plain_text.h"
#include "lib/collate/manifest.h"
#include "lib/time/utc_text.h"

namespace noonfall::pictures {
namespace {

void put_shot(Exiv2::XmpData& xmp, const collate::Collation& all, const collate::Shot& shot) {
  const auto put = [&](const char* name, const std::string& value) {
    xmp[std::string{"Xmp.noonfall."} + name] = plain_line(value);
  };
  put("Rig", shot.frame.rig);
  put("Step", shot.frame.step);
  put("Set", fmt::format("{}", shot.frame.set));
  put("Frame", fmt::format("{}", shot.frame.frame));
  put("Subject", shot.subject);
  put("Due", to_text_us(shot.due));
  if (shot.fired) put("Opened", to_text_us(shot.opened));
  const auto* bracket = all.bracket_of(shot.frame);
  if (bracket == nullptr) return;
  put("Bracket", bracket->complete() ? "complete" : "broken");
  put("BracketCovers", collate::range_text(*bracket));
}

}  // namespace

std::string to_xmp(const collate::Collation& all, const collate::Row& row) {
  initialise_exiv();
  Exiv2::XmpData xmp;
  const auto caption = collate::caption(all, row);
  xmp["Xmp.dc.title"] = "lang=x-default " + caption.title;
  xmp["Xmp.dc.description"] = "lang=x-default " + caption.description;
  xmp["Xmp.noonfall.Status"] = std::string{to_text(row.status)};
  if (!caption.relative.empty()) xmp["Xmp.noonfall.ContactRelativeTime"] = caption.relative;
  if (row.at) xmp["Xmp.noonfall.Taken"] = to_text_us(*row.at);
  if (row.shot) put_shot(xmp, all, all.log.shots[*row.shot]);
  std::string packet;
  Exiv2::XmpParser::encode(packet, xmp, Exiv2::XmpParser::useCompactFormat);
  return packet;
}

}  // namespace noonfall::pictures
