// What a rehearsal's bodies took, rendered: `noonfall rehearse --frames`.
#pragma once

#include <string>

#include "daemon/cli/commands.h"
#include "daemon/load/plan_loading.h"
#include "sim/rehearse/rehearsal.h"

namespace noonfall::cli {

struct FramesRequest {
  std::string folder;  // empty: none
  int width = 1500;
  std::string form = "jpeg";  // or "tiff"
  bool stacks = false;
  std::uint64_t seed = 1;
};

void render_frames(const FramesRequest& request, const load::PlanSource& source, const plan::Plan& plan,
                   const timeline::Timeline& timeline, const sim::Rehearsed& rehearsed, Context& context);

}  // namespace noonfall::cli
