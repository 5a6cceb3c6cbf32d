// Makes limb_sites.csv: C2 and C3 with the Moon's real edge at sites drawn from the paths of total eclipses,
// for the tests of what is said about the mean limb. `limb_sites_maker STRIP >limb_sites.csv`
#include <fstream>
#include <iostream>
#include <iterator>
#include <random>

#include <fmt/format.h>

#include "lib/contacts/elements.h"
#include "lib/contacts/path.h"
#include "lib/limb/limb_contacts.h"

using namespace noonfall;

namespace {

constexpr int sites_an_eclipse = 100;

std::optional<limb::Strip> strip_from(const char* path) {
  std::ifstream file{path, std::ios::binary};
  const std::string bytes{std::istreambuf_iterator<char>{file}, {}};
  auto strip = limb::parse_strip(bytes);
  if (!strip) return std::nullopt;
  return std::move(*strip);
}

/// Anywhere between the limits, sunrise and sunset, as likely here as there; a smooth Moon makes it total.
class Sites {
 public:
  explicit Sites(const contacts::Elements& elements)
      : shadow_(elements, delta_t_for(elements, {})),
        span_(*span_of(shadow_, contacts::PathLine::centre, {})),
        random_(static_cast<std::uint32_t>(std::chrono::sys_days{elements.date}.time_since_epoch().count())) {
  }

  contacts::Site next() {
    while (true) {
      const double t = span_.from + uniform() * (span_.to - span_.from);
      const double share = uniform();
      const auto north = point_on(shadow_, contacts::PathLine::north, t, {});
      const auto south = point_on(shadow_, contacts::PathLine::south, t, {});
      if (!north || !south || std::abs(north->longitude.value - south->longitude.value) > 180) continue;
      const auto between = [&](double a, double b) { return std::round((a + share * (b - a)) * 1e4) / 1e4; };
      const contacts::Site site{{between(south->latitude.value, north->latitude.value)},
                                {between(south->longitude.value, north->longitude.value)},
                                {0}};
      if (solve(shadow_, contacts::Observer{site}).kind == contacts::Kind::total) return site;
    }
  }

 private:
  double uniform() { return static_cast<double>(random_()) / 4294967296.0; }  // the same everywhere

  contacts::Shadow shadow_;
  contacts::HourSpan span_;
  std::mt19937 random_;
};

std::string instant(const std::optional<contacts::Contact>& contact) {
  return contact ? to_text(contact->utc) : "";
}

void print_sites(const limb::Strip& strip, const contacts::Elements& elements) {
  contacts::Settings settings;
  settings.solar_radius = measured_solar_radius;
  Sites sites{elements};
  for (int n = 0; n < sites_an_eclipse; ++n) {
    const auto site = sites.next();
    const auto found = limb_contacts(strip, elements, site, settings).circumstances;
    const bool total = found.kind == contacts::Kind::total;
    std::cout << fmt::format("{},{:.4f},{:.4f},{},{}\n", to_text(elements.date), site.latitude.value,
                             site.longitude.value, total ? instant(found.at(contacts::ContactName::c2)) : "",
                             total ? instant(found.at(contacts::ContactName::c3)) : "");
  }
}

}  // namespace

int main(int count, char** words) {
  const auto strip = count == 2 ? strip_from(words[1]) : std::nullopt;
  if (!strip) {
    std::cerr << "limb_sites_maker STRIP: a strip of lunar heights\n";
    return 2;
  }
  std::cout << "date,lat,lon,c2_utc,c3_utc\n";
  for (const auto* date :
       {"2017-08-21", "2019-07-02", "2020-12-14", "2021-12-04", "2024-04-08", "2026-08-12", "2027-08-02",
        "2028-07-22", "2030-11-25", "2034-03-20", "2035-09-02", "2037-07-13", "2039-12-15", "2045-08-12"})
    print_sites(*strip, *contacts::find_elements(contacts::built_in_elements(), *parse_date(date)));
}
