#include "daemon/cli/site_text.h"

#include <vector>

#include <fmt/format.h>

#include "lib/base/number.h"
#include "lib/contacts/parse_sites.h"

namespace noonfall::cli {
namespace {

struct Part {
  std::string_view name;
  double lowest;
  double highest;
};
constexpr std::array<Part, 3> parts{
    Part{"latitude", -90, 90}, Part{"longitude", -180, 180},
    Part{"elevation", contacts::lowest_site.value, contacts::highest_site.value}};

std::vector<std::string_view> split(std::string_view text) {
  std::vector<std::string_view> pieces;
  for (;;) {
    const auto comma = text.find(',');
    pieces.push_back(trim(text.substr(0, comma)));
    if (comma == std::string_view::npos) return pieces;
    text.remove_prefix(comma + 1);
  }
}

}  // namespace

Result<contacts::Site> parse_site(std::string_view text) {
  const auto pieces = split(text);
  if (pieces.size() != 2 && pieces.size() != 3) {
    return fail(error_at({}, "site-text", fmt::format("\"{}\" isn't a site", text),
                         "LAT,LON or LAT,LON,ELEV: decimal degrees and metres, such as 36.0139,-5.6033,12"));
  }
  std::array<double, 3> values{};
  Diagnostics errors;
  for (std::size_t n = 0; n < pieces.size(); ++n) {
    const auto& part = parts[n];
    const auto value = parse_decimal(pieces[n]);
    if (!value) {
      errors.push_back(error_at(
          {}, "site-text", fmt::format("{} \"{}\" {}", part.name, pieces[n], why_not_a_number(pieces[n])),
          "decimal degrees, south and west negative; metres"));
    } else if (*value < part.lowest || *value > part.highest) {
      errors.push_back(error_at({}, "site-off-globe",
                                fmt::format("{} {} is off the globe", part.name, pieces[n]),
                                fmt::format("{:g} to {:g}", part.lowest, part.highest)));
    }
    values[n] = value.value_or(0);
  }
  if (!errors.empty()) return fail(std::move(errors));
  return contacts::Site{{values[0]}, {values[1]}, {values[2]}};
}

}  // namespace noonfall::cli
