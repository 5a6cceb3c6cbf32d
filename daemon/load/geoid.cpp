#include "daemon/load/geoid.h"

#include <cmath>

#include <proj.h>

#include "lib/contacts/settings.h"

namespace noonfall::load {

struct Geoid::Grid {
  struct Destroy {
    void operator()(PJ_CONTEXT* context) const { proj_context_destroy(context); }
    void operator()(PJ* shift) const { proj_destroy(shift); }
  };
  std::unique_ptr<PJ_CONTEXT, Destroy> context;
  std::unique_ptr<PJ, Destroy> shift;
};

Geoid::Geoid() : grid_(std::make_unique<Grid>()) {
  grid_->context.reset(proj_context_create());
  proj_context_set_enable_network(grid_->context.get(), 0);
  proj_log_level(grid_->context.get(), PJ_LOG_NONE);
  constexpr auto* adding = "+proj=vgridshift +grids=egm96_15.gtx +multiplier=1";
  grid_->shift.reset(proj_create(grid_->context.get(), adding));
}

Geoid::~Geoid() = default;

bool Geoid::has_grid() const {
  return grid_->shift != nullptr;
}

std::optional<Metres> Geoid::height_at(Degrees latitude, Degrees longitude) const {
  if (!has_grid()) return std::nullopt;
  const auto level = proj_coord(radians(longitude), radians(latitude), 0, 0);
  const auto shifted = proj_trans(grid_->shift.get(), PJ_FWD, level);
  if (!std::isfinite(shifted.lpz.z)) return std::nullopt;
  return Metres{shifted.lpz.z};
}

PlacedSite place(const contacts::Site& given, HeightDatum datum, const Geoid& geoid) {
  PlacedSite placed{.site = given, .as_given = given.height, .datum = datum};
  if (datum == HeightDatum::ellipsoid) return placed;
  placed.geoid = geoid.height_at(given.latitude, given.longitude);
  if (placed.geoid) {
    placed.site.height.value += placed.geoid->value;
  } else {
    placed.geoid_error = contacts::unknown_geoid_error;
  }
  return placed;
}

}  // namespace noonfall::load
