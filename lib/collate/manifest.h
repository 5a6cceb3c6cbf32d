// What became of photographs and frames as a table, as JSON, as words, and as names of links.
#pragma once

#include <string>

#include "lib/collate/collate.h"
#include "lib/time/zone.h"

namespace noonfall::collate {

/// RFC 4180. Header
/// file,status,rig,step,set,frame,due_utc,opened_utc,photo_utc,off_s,shutter,aperture,iso,bracket
[[nodiscard]] std::string to_csv(const Collation& all);
/// The same rows as "photos", and "clocks" and "brackets".
[[nodiscard]] std::string to_json(const Collation& all);
/// Counts, clocks, brackets that are broken, and what is wrong with files.
[[nodiscard]] std::string to_text(const Collation& all, const LocalClock& local);

/// "1/2000 f/8 ISO 400 to 2 s f/8 ISO 400, 12.0 stops", or how it stands with one or no frame.
[[nodiscard]] std::string range_text(const BracketTaken& bracket);

/// Where a photograph belongs in a tree of links, with "/" between: "long/corona/0003 broken/2 1-500 s
/// IMG_1.RAW". Nothing of it leads out of the tree. Empty for what can't be read.
[[nodiscard]] std::string place_in_tree(const Collation& all, const Row& row);

/// A frame told to a person who looks at the photograph.
struct Caption {
  std::string title;        // "corona 3.2, long"
  std::string description;  // "Corona 0.1 to 4, C2 + 12.3 s, 1/500 f/8 ISO 400"
  std::string relative;     // "C2 + 12.3 s"
};
[[nodiscard]] Caption caption(const Collation& all, const Row& row);

}  // namespace noonfall::collate
