// What `noonfall contacts` prints: a table for people, JSON, or CSV for many sites.
#pragma once

#include <iosfwd>
#include <optional>
#include <string>
#include <vector>

#include "daemon/cli/geoid.h"
#include "lib/contacts/circumstances.h"
#include "lib/contacts/on_path.h"

namespace date {
class time_zone;
}

namespace noonfall::cli {

/// One answer and everything it rests on.
struct ContactsAnswer {
  const contacts::Elements& elements;
  const contacts::Settings& settings;
  contacts::Circumstances circumstances;
  PlacedSite place;
  std::optional<contacts::OnPath> path;  // empty where the umbra misses the Earth
};

/// `explained` has every part of every contact's uncertainty.
enum class Detail { brief, explained };

/// `zone` adds local time; nullptr for UTC only.
[[nodiscard]] std::string contacts_text(const ContactsAnswer& answer, const date::time_zone* zone,
                                        Detail detail);
[[nodiscard]] std::string contacts_json(const ContactsAnswer& answer);

/// One line a site, in order: kind,c1,c2,mid,c3,c4,magnitude,obscuration. Long lists are divided among this
/// many threads, which end before this returns; the text is the same for any number.
void write_contacts_csv(std::ostream& out, const contacts::Elements& elements,
                        const contacts::Settings& settings, const std::vector<contacts::Site>& sites,
                        std::size_t threads);

}  // namespace noonfall::cli
