#include <fmt/format.h>

#include "daemon/cli/contacts_output.h"

namespace noonfall::cli {
namespace {

using contacts::Contact;
using contacts::ContactName;
using contacts::Kind;

/// Shorter ones are in the JSON.
constexpr Duration shortest_told = from_seconds(0.5);

std::string what_happens(Kind kind, ContactName name) {
  const bool goes_out = (kind == Kind::total) == (name == ContactName::c2);
  return goes_out ? "goes out" : "lights up";
}

bool is_told(const limb::Bead& bead) {
  return !bead.life || *bead.life >= shortest_told || std::abs(in_seconds(bead.after_contact)) < 0.01;
}

std::string row(const Contact& contact, const limb::Bead& bead) {
  const double after = in_seconds(bead.after_contact);
  return fmt::format("  {:>5.1f}  {:<12} {:>+6.1f} s   {}\n", bead.position_angle.value,
                     to_clock_text(contact.utc + bead.after_contact, 1), after == 0 ? 0.0 : after,
                     bead.life ? fmt::format("{:.1f} s", in_seconds(*bead.life)) : "alone");
}

std::string list(const ContactsAnswer& answer, ContactName name, const std::vector<limb::Bead>& beads) {
  const auto& contact = answer.circumstances().at(name);
  if (!contact) return {};
  auto text = fmt::format("Beads around {}, within {:g} s\n  {:>5}  {:<12} {:>8}   {}\n", to_text(name),
                          in_seconds(limb::bead_reach), "P", what_happens(answer.circumstances().kind, name),
                          "contact", "apart for");
  std::size_t left_out = 0;
  for (const auto& bead : beads) {
    if (is_told(bead)) {
      text += row(*contact, bead);
    } else {
      ++left_out;
    }
  }
  if (left_out > 0)
    text += fmt::format("  and {} that stand apart for less than {:g} s (--json lists them)\n", left_out,
                        in_seconds(shortest_told));
  return text;
}

}  // namespace

std::string beads_text(const ContactsAnswer& answer) {
  if (answer.limb.spells.empty()) return "No beads: neither totality nor a ring here.\n";
  return list(answer, ContactName::c2, answer.beads->c2) + list(answer, ContactName::c3, answer.beads->c3);
}

}  // namespace noonfall::cli
