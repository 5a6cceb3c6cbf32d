#include "daemon/start/logged_contacts.h"

namespace noonfall::start {

contacts::Circumstances as_logged(contacts::Circumstances computed, const shotlog::Header& header) {
  auto logged = computed;
  logged.kind = header.kind;
  logged.dut1 = header.dut1;
  logged.delta_t = header.delta_t;
  logged.contacts = {};
  for (const auto& named : header.contacts) {
    const auto& known = computed.at(named.name);
    auto contact = known ? *known : computed.at(contacts::ContactName::mid).value_or(contacts::Contact{});
    contact.utc = named.utc - header.moved;
    contact.uncertainty = named.uncertainty;
    logged.contacts[static_cast<std::size_t>(named.name)] = std::move(contact);
  }
  return logged;
}

}  // namespace noonfall::start
