#include <algorithm>
#include <random>
#include <sstream>

#include <doctest/doctest.h>

#include "daemon/cli/contacts_output.h"
#include "lib/contacts/elements.h"

using namespace noonfall;
using namespace noonfall::contacts;

namespace {

/// Enough for several blocks, the last one not full.
std::vector<Site> sites_everywhere() {
  std::mt19937 random{1961};
  std::uniform_real_distribution<double> latitude{-90, 90};
  std::uniform_real_distribution<double> longitude{-180, 180};
  std::vector<Site> sites;
  for (int n = 0; n < 70'001; ++n) sites.push_back({{latitude(random)}, {longitude(random)}, {100}});
  return sites;
}

std::string written(const std::vector<Site>& sites, std::size_t threads) {
  const auto& elements = *find_elements(built_in_elements(), *parse_date("2027-08-02"));
  std::ostringstream out;
  cli::write_contacts_csv(out, elements, {}, nullptr, sites, threads);
  return out.str();
}

const std::string header = "kind,c1,c2,mid,c3,c4,magnitude,obscuration\n";

}  // namespace

TEST_CASE("a list of sites gives the same bytes on any number of threads") {
  const auto sites = sites_everywhere();
  const auto alone = written(sites, 1);
  CHECK(std::count(alone.begin(), alone.end(), '\n') == 70'002);
  for (const std::size_t threads : {0, 2, 3, 8}) {
    CAPTURE(threads);
    const bool same = written(sites, threads) == alone;
    CHECK(same);
  }
}

TEST_CASE("each row of a long list is that of its own site") {
  const auto sites = sites_everywhere();
  std::istringstream all{written(sites, 2)};
  std::string line;
  std::vector<std::string> rows;
  while (std::getline(all, line)) rows.push_back(line + '\n');
  REQUIRE(rows.size() == sites.size() + 1);
  for (std::size_t n = 0; n < sites.size(); n += 5437) {
    CAPTURE(n);
    CHECK(header + rows[n + 1] == written({sites[n]}, 1));
  }
}

TEST_CASE("a list has one header line (RFC 4180, section 2), however many threads and sites") {
  CHECK(written({}, 2) == header);
  const auto many = written(sites_everywhere(), 2);
  CHECK(many.starts_with(header));
  CHECK(many.find(header, 1) == std::string::npos);
}
