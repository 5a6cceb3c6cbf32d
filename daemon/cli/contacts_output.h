// What `noonfall contacts` prints: a table for people, JSON, or CSV for many sites.
#pragma once

#include <iosfwd>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "daemon/load/geoid.h"
#include "daemon/load/limb_data.h"
#include "lib/contacts/on_path.h"
#include "lib/limb/beads.h"
#include "lib/time/zone.h"
#include "lib/timeline/timeline.h"

namespace noonfall::cli {

/// Around C2 and C3.
struct BeadLists {
  std::vector<limb::Bead> c2;
  std::vector<limb::Bead> c3;
};

/// One answer and everything it rests on.
struct ContactsAnswer {
  const contacts::Elements& elements;
  const contacts::Settings& settings;
  limb::LimbContacts limb;
  std::string limb_file;  // empty with the mean limb
  load::PlacedSite place;
  std::optional<BeadLists> beads;        // where asked for
  std::optional<contacts::OnPath> path;  // empty where there is no path or no eclipse

  [[nodiscard]] const contacts::Circumstances& circumstances() const { return limb.circumstances; }
};

/// `explained` has every part of every contact's uncertainty.
enum class Detail { brief, explained };

/// `zone` adds local time; nullptr for UTC only.
[[nodiscard]] std::string contacts_text(const ContactsAnswer& answer, const Zone* zone, Detail detail);
[[nodiscard]] std::string contacts_json(const ContactsAnswer& answer);

/// The beads a person can tell apart, one a line.
[[nodiscard]] std::string beads_text(const ContactsAnswer& answer);

/// A calendar of the contacts that happen (RFC 5545), made at `stamp`, and of cues; not of those that take a
/// filter off: a calendar doesn't know what the day's clock is worth.
[[nodiscard]] std::string contacts_ics(const contacts::Circumstances& sky, Utc stamp,
                                       std::span<const timeline::Cue> cues = {});

/// One line a site, in order: kind,c1,c2,mid,c3,c4,magnitude,obscuration. `strip` may be nullptr for the mean
/// limb. Long lists are divided among this many threads, which end before this returns; the text is the same
/// for any number.
void write_contacts_csv(std::ostream& out, const contacts::Elements& elements,
                        const contacts::Settings& settings, const limb::Strip* strip,
                        const std::vector<contacts::Site>& sites, std::size_t threads);

}  // namespace noonfall::cli
