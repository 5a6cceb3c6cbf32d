#include "daemon/start/cables.h"

#include <algorithm>

namespace noonfall::start {

std::vector<std::string> serials_of(const plan::Plan& plan, const timeline::Timeline& timeline) {
  std::vector<std::string> serials;
  for (const auto& lane : timeline.lanes) {
    const auto rig = std::ranges::find(plan.rigs, lane.rig, &plan::Rig::name);
    const auto* cabled = rig == plan.rigs.end() ? nullptr : std::get_if<plan::CabledBody>(&rig->body);
    serials.push_back(cabled == nullptr ? std::string{} : cabled->serial);
  }
  return serials;
}

std::optional<WireRefusal> no_wire(const RunRequest& request) {
  if (!request.wire) return std::nullopt;
  if (request.speed.value_or(1) != 1) {
    return WireRefusal{error_at(
        {}, "wire-speed", "--simulate=wire goes at the pace of the camera library, which can't be hurried",
        "the same without --speed")};
  }
  if (request.can_drive) return std::nullopt;
  return WireRefusal{
      error_at({}, "no-driver",
               "this noonfalld was built without libgphoto2: nothing is there to drive bodies by wire",
               "--simulate, or a noonfalld built where libgphoto2-dev is installed"),
      command_line::Exit::environment};
}

}  // namespace noonfall::start
