#include "lib/contacts/cut_line.h"

#include <cmath>

namespace noonfall::contacts {

std::vector<std::vector<Site>> cut_at_antimeridian(const std::vector<Site>& line) {
  std::vector<std::vector<Site>> pieces(1);
  for (const auto& site : line) {
    auto& piece = pieces.back();
    if (!piece.empty() && std::abs(site.longitude.value - piece.back().longitude.value) > 180) {
      const auto before = piece.back();
      const double border = std::copysign(180, before.longitude.value);
      const double step = std::remainder(site.longitude.value - before.longitude.value, 360);
      const double part = step == 0 ? 0 : (border - before.longitude.value) / step;
      auto crossing = before;
      crossing.latitude.value += part * (site.latitude.value - before.latitude.value);
      crossing.longitude.value = border;
      piece.push_back(crossing);
      crossing.longitude.value = -border;
      pieces.push_back({crossing});
    }
    pieces.back().push_back(site);
  }
  return pieces;
}

}  // namespace noonfall::contacts
