// What a rig's small pictures lead to: a line where they tell something new, a call for hands; never more.
#include <utility>

#include "lib/run/run.h"
#include "lib/timeline/filtered_sun.h"

namespace noonfall::run {

void Run::take(const PictureSeen& looked, Utc now, Output& out) {
  const auto n = static_cast<std::size_t>(looked.frame.rig);
  const auto watch = watches_.find(n);
  if (looked.frame.rig < 0 || watch == watches_.end() || looked.frame.step < 0) return;
  const auto& plan = plans_[n];
  const auto index = static_cast<std::size_t>(looked.frame.step);
  if (index >= plan.steps.size()) return;
  const auto& step = plan.steps[index];
  if (!step.filtered || step.subject.kind != exposure::SubjectKind::photosphere) return;
  const auto sight =
      timeline::sight_of(*plan.filtered_light, sky_, looked.exposure, looked.opened, looked.seen);
  if (!sight) return;
  const auto before = watch->second.trouble();
  auto finding = watch->second.take(*sight, rigs_[n].trim().value);
  const auto last = looked_.find(n);
  const bool same = last != looked_.end() && before == finding.trouble &&
                    last->second.hands == finding.hands && last->second.trim == finding.trim;
  if (same) return;
  const bool called = last != looked_.end() && last->second.hands && before == finding.trouble;
  const shotlog::Look line{plan.name, std::move(finding.words), finding.hands, finding.trim};
  looked_.insert_or_assign(n, line);
  log_.write(line);
  if (line.hands && !called) ask_for_hands(n, timeline::Sentence::hands_needed_at, now, out);
}

}  // namespace noonfall::run
