// A restart's contacts: those of the log, whatever is computed now.
#include <doctest/doctest.h>

#include "lib/run/header.h"

using namespace noonfall;
using namespace noonfall::run;
using contacts::ContactName;

namespace {

Utc at(const char* clock) {
  return *parse_utc(std::string{"2027-08-02T"} + clock + "Z");
}

shotlog::Header begun_with_totality() {
  shotlog::Header header;
  header.kind = contacts::Kind::total;
  header.dut1 = from_seconds(0.05);
  header.delta_t = from_seconds(69.1);
  header.moved = from_seconds(60);
  const char* times[] = {"07:40:53", "08:45:09", "08:47:28", "08:49:47", "10:00:47"};
  for (const auto name : contacts::all_contacts)
    header.contacts.push_back(
        {name, at(times[static_cast<std::size_t>(name)]) + header.moved, from_seconds(0.4)});
  return header;
}

/// As a smooth Moon has it near the limit, where the edge makes it total.
contacts::Circumstances computed_partial() {
  contacts::Circumstances sky;
  sky.kind = contacts::Kind::partial;
  sky.magnitude = 0.999;
  for (const auto name : {ContactName::c1, ContactName::mid, ContactName::c4}) {
    auto& contact = sky.contacts[static_cast<std::size_t>(name)].emplace();
    contact.utc = at("08:00:00");
    contact.altitude = {static_cast<double>(name) * 10};
    contact.uncertainty = from_seconds(4);
  }
  return sky;
}

}  // namespace

TEST_CASE("kind, instants, uncertainties and UT1 are the log's, without what the run was moved by") {
  const auto sky = as_logged(computed_partial(), begun_with_totality());
  CHECK(sky.kind == contacts::Kind::total);
  CHECK(sky.dut1 == from_seconds(0.05));
  CHECK(sky.delta_t == from_seconds(69.1));
  REQUIRE(sky.at(ContactName::c2));
  CHECK(sky.at(ContactName::c2)->utc == at("08:45:09"));
  CHECK(sky.at(ContactName::c2)->uncertainty == from_seconds(0.4));
  CHECK(sky.at(ContactName::c2)->altitude == Degrees{20});  // of MID
  CHECK(sky.at(ContactName::c4)->utc == at("10:00:47"));
  CHECK(sky.at(ContactName::c4)->altitude == Degrees{40});
}

TEST_CASE("a contact the log doesn't have is none, though it is computed now") {
  auto header = begun_with_totality();
  header.kind = contacts::Kind::partial;
  std::erase_if(header.contacts, [](const auto& named) {
    return named.name == ContactName::c2 || named.name == ContactName::c3;
  });
  auto computed = computed_partial();
  computed.kind = contacts::Kind::total;
  computed.contacts[1] = computed.contacts[2];
  const auto sky = as_logged(computed, header);
  CHECK(sky.kind == contacts::Kind::partial);
  CHECK_FALSE(sky.at(ContactName::c2));
  CHECK_FALSE(sky.at(ContactName::c3));
}
