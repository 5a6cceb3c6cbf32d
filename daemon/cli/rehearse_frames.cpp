#include "daemon/cli/rehearse_frames.h"

#include <algorithm>
#include <ostream>
#include <thread>

#include <fmt/format.h>

#include "daemon/cli/progress_line.h"
#include "daemon/pictures/frames.h"
#include "lib/collate/photo.h"
#include "lib/contacts/elements.h"
#include "lib/timeline/relative_text.h"

namespace noonfall::cli {
namespace {

sim::Imager imager_of(const plan::Rig& rig, int width) {
  sim::Imager imager;
  imager.focal_length = rig.focal_length;
  imager.mount = rig.mount;
  auto height = Millimetres{23.9};
  if (rig.sensor) {
    imager.sensor_width = rig.sensor->width;
    imager.pixel = rig.sensor->pixel;
    height = rig.sensor->height;
  }
  imager.width = width;
  imager.height = std::max(1, static_cast<int>(width * height.value / imager.sensor_width.value));
  return imager;
}

/// A person aims a fixed mount whenever hands are at the rig, so that the Sun stands in the middle half way
/// to the next time; where totality lies in between, at mid-eclipse.
class Aiming {
 public:
  Aiming(const timeline::Timeline& timeline, std::size_t rig, const std::vector<sim::RecordedFrame>& frames)
      : middle_{timeline.circumstances.at(contacts::ContactName::mid)} {
    if (frames.empty()) return;
    edges_ = {frames.front().opened, frames.back().closed};
    for (const auto& span : timeline.hands_on)
      if (span.rig == rig) edges_.push_back(span.from);
    std::sort(edges_.begin(), edges_.end());
  }
  [[nodiscard]] Utc aimed_for(Utc instant) const {
    const auto after = std::upper_bound(edges_.begin() + 1, edges_.end() - 1, instant);
    const auto until = *after;
    const auto from = *(after - 1);
    if (middle_ && middle_->utc > from && middle_->utc < until) return middle_->utc;
    return from + (until - from) / 2;
  }

 private:
  std::optional<contacts::Contact> middle_;
  std::vector<Utc> edges_;
};

std::vector<pictures::PlannedPicture> frames_of(const FramesRequest& request, const plan::Plan& plan,
                                                const timeline::Timeline& timeline, const sim::Scene& scene,
                                                const sim::Rehearsed& rehearsed) {
  std::vector<pictures::PlannedPicture> out;
  for (std::size_t n = 0; n < timeline.rigs.size(); ++n) {
    const auto& rig = timeline.rigs[n];
    const auto planned = std::find_if(plan.rigs.begin(), plan.rigs.end(),
                                      [&](const plan::Rig& each) { return each.name == rig.name; });
    const auto imager = imager_of(*planned, request.width);
    const Aiming aiming{timeline, n, rehearsed.taken[n]};
    for (const auto& taken : rehearsed.taken[n]) {
      if (taken.files.empty()) continue;
      const auto& step = rig.steps.at(static_cast<std::size_t>(taken.id.step));
      const bool filtered = step.filtered && planned->filter;
      std::string name{collate::base_name(taken.files.front())};
      name.resize(std::min(name.rfind('.'), name.size()));
      out.push_back({rig.name,
                     step.name,
                     taken.id.set,
                     taken.id.frame,
                     name,
                     rig.profile.name,
                     timeline::relative_text(taken.opened, timeline.circumstances),
                     imager,
                     {taken.opened, taken.closed, taken.exposure, filtered ? planned->filter->density : 0,
                      scene.at(aiming.aimed_for(taken.opened)), request.seed * 1'000'003 + out.size()}});
    }
  }
  return out;
}

}  // namespace

void render_frames(const FramesRequest& request, const load::PlanSource& source, const plan::Plan& plan,
                   const timeline::Timeline& timeline, const sim::Rehearsed& rehearsed, Context& context) {
  const auto* elements = contacts::find_elements(contacts::built_in_elements(), plan.eclipse);
  auto settings = contacts::settings_for(source.leap_seconds,
                                         to_utc(elements->greatest(), source.leap_seconds), plan.dut1);
  const auto limb = load::find_limb_data(source.limb);
  std::shared_ptr<const limb::Edges> edges;
  const auto& site = timeline.circumstances.site;
  if (limb && limb->strip) {
    load::use_limb(*limb, settings);
    edges = load::contacts_with(*limb, *elements, site, settings).edges;
  }
  const sim::Scene scene{*elements, settings, site, edges};
  const auto frames = frames_of(request, plan, timeline, scene, rehearsed);
  ProgressLine line{context.err};
  const auto of = static_cast<int>(frames.size());
  const auto threads = std::max(1U, std::thread::hardware_concurrency());
  const auto form = request.form == "tiff" ? pictures::Form::tiff : pictures::Form::jpeg;
  const auto rendering = [&](int done) {
    if (done < of) line.show("rendering", done, of, "frames");
  };
  auto written =
      pictures::write_frames(request.folder, scene, request.seed, frames, form, threads, rendering);
  line.show("rendered", of, of, "frames");
  if (written && request.stacks)
    written = pictures::write_stacks(request.folder, scene, request.seed, frames, threads, [](int) {});
  line.end();
  if (written && form == pictures::Form::jpeg)
    context.err << fmt::format("All of them, by step: {}/sheet.html\n", request.folder);
  if (written) return;
  context.err << to_text(written.error());
  context.exit = Exit::environment;
}

}  // namespace noonfall::cli
