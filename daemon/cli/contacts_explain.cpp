#include "daemon/cli/contacts_explain.h"

#include <algorithm>

#include <fmt/format.h>

namespace noonfall::cli {
namespace {

using contacts::Circumstances;
using contacts::Contact;
using contacts::ContactName;
using contacts::Kind;

std::string brief(const Circumstances& found) {
  constexpr std::size_t most = 2;
  const auto name = found.kind == Kind::partial ? ContactName::mid : ContactName::c2;
  const auto& contact = *found.at(name);
  auto parts = contact.parts;
  std::sort(parts.begin(), parts.end(),
            [](const auto& a, const auto& b) { return a.half_width > b.half_width; });
  auto text = fmt::format("{} +- {:.2f} s (95 %), mostly:\n", to_text(name), in_seconds(contact.uncertainty));
  for (std::size_t n = 0; n < std::min(most, parts.size()); ++n) {
    text += fmt::format("  {:.2f} s  {}\n", in_seconds(parts[n].half_width), parts[n].reason);
  }
  return text + "--explain shows every part of every contact.\n";
}

/// Every reason once, in the order in which the contacts have them.
std::vector<std::string> reasons(const Circumstances& found) {
  std::vector<std::string> all;
  for (const auto& contact : found.contacts) {
    if (!contact) continue;
    for (const auto& part : contact->parts) {
      if (std::find(all.begin(), all.end(), part.reason) == all.end()) all.push_back(part.reason);
    }
  }
  return all;
}

std::string cell(const Contact& contact, const std::string& reason) {
  for (const auto& part : contact.parts) {
    if (part.reason == reason) return fmt::format("{:>7.2f}", in_seconds(part.half_width));
  }
  return fmt::format("{:>7}", "-");
}

std::string explained(const Circumstances& found) {
  std::string heads;
  std::string sums;
  for (const auto name : contacts::all_contacts) {
    if (!found.at(name)) continue;
    heads += fmt::format("{:>7}", to_text(name));
    sums += fmt::format("{:>7.2f}", in_seconds(found.at(name)->uncertainty));
  }
  auto text = fmt::format("Why the times may be off (95 % half-widths in seconds):\n{}\n", heads);
  for (const auto& reason : reasons(found)) {
    for (const auto& contact : found.contacts) {
      if (contact) text += cell(*contact, reason);
    }
    text += fmt::format("   {}\n", reason);
  }
  return text + sums + "   together, as the root of the sum of their squares\n";
}

}  // namespace

std::string uncertainty_text(const Circumstances& found, Detail detail) {
  return detail == Detail::explained ? explained(found) : brief(found);
}

}  // namespace noonfall::cli
