#include <algorithm>

#include "lib/contacts/contact.h"

namespace noonfall::contacts {
namespace {

constexpr std::array<std::string_view, 5> contact_names{"C1", "C2", "MID", "C3", "C4"};

}  // namespace

std::string_view to_text(ContactName name) {
  return contact_names[static_cast<std::size_t>(name)];
}

std::optional<ContactName> parse_contact_name(std::string_view text) {
  const auto found = std::find(contact_names.begin(), contact_names.end(), text);
  if (found == contact_names.end()) return std::nullopt;
  return all_contacts[static_cast<std::size_t>(found - contact_names.begin())];
}

std::string_view to_text(Kind kind) {
  switch (kind) {
    case Kind::none:
      return "none";
    case Kind::partial:
      return "partial";
    case Kind::annular:
      return "annular";
    case Kind::total:
      return "total";
  }
  return "none";
}

}  // namespace noonfall::contacts
