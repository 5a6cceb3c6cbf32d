#include "tests/scenario/cable.h"

#include <algorithm>

#include <fmt/format.h>

#include "daemon/gphoto/labels.h"
#include "lib/exposure/exposure.h"

namespace noonfall::scenario {
namespace {

using namespace std::chrono_literals;

/// The camera blocks; in virtual time what it takes is found in its answer.
class OnCable final : public rig::Camera {
 public:
  OnCable(Cable& cable, const body::Profile& profile)
      : cable_{cable}, camera_{gphoto::camera_on(cable.script, profile)} {}

  rig::DeviceAnswer answer(const rig::DeviceCall& call, Utc now) override {
    come_to(now);
    if (const auto* release = std::get_if<rig::ReleaseCall>(&call)) cable_.asked = release->frames;
    auto answer = camera_.answer(call, now);
    answer.at = std::max(answer.at, cable_.script->now);
    return answer;
  }
  rig::Care look_after(Utc now, Utc until) override {
    come_to(now);
    auto care = camera_.look_after(now, until);
    if (care.again) care.again = std::max(*care.again, cable_.script->now);
    return care;
  }

 private:
  void come_to(Utc now) { cable_.script->now = std::max(cable_.script->now, now); }

  Cable& cable_;
  gphoto::CabledCamera camera_;
};

std::string label(exposure::Shutter shutter) {
  auto text = exposure::to_text(shutter);
  if (text.ends_with(" s")) text.resize(text.size() - 2);
  return text;
}

}  // namespace

Cable::Cable(const body::Profile& profile, Utc now) : script{gphoto::generic_body()}, profile_{profile} {
  script->now = now;
  std::vector<std::string> times;
  for (const auto shutter : profile.choices.shutters) times.push_back(label(shutter));
  script->offers("shutterspeed", "1/60", times);
  script->strikes = [this](const std::string& call) { return strike(call); };
}

std::shared_ptr<rig::Camera> Cable::camera() {
  return std::make_shared<OnCable>(*this, profile_);
}

std::optional<gphoto::DriverError> Cable::strike(const std::string& call) {
  const auto struck = wrong ? wrong(++calls, call) : std::nullopt;
  const bool is_done = script->plugged && (!struck || struck->done || !struck->fails);
  if (call == "trigger" && is_done) take_picture();
  if (!struck) return std::nullopt;
  script->now += struck->takes;
  return struck->fails ? std::optional{struck->error} : std::nullopt;
}

void Cable::take_picture() {
  const auto opened = script->now + profile_.release.typical;
  const auto shutter =
      gphoto::shutter_of(script->controls["shutterspeed"].label).value_or(exposure::Shutter{});
  const auto time = from_seconds(exposure::exact_seconds(shutter));
  const auto id = asked.empty() ? order::FrameId{} : asked.front();
  taken.push_back({id, opened, opened + time});
  const bool kept = pictures != Pictures::in_memory;
  const auto path = (kept ? "/store_00010001/DCIM/100A/A" : "/capt") + fmt::format("{:04}.RAW", taken.size());
  if (kept) script->files.push_back(path);
  if (pictures != Pictures::silent)
    script->tells(profile_.release.typical + time + 200ms, gphoto::News::Kind::file, path);
}

}  // namespace noonfall::scenario
