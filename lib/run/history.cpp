#include "lib/run/history.h"

#include <algorithm>

namespace noonfall::run {
namespace {

void add(PastOrder& order, const shotlog::FrameAccount& frame) {
  order.id = frame.asked->order;
  order.frames.push_back(*frame.asked);
  if (!frame.last) order.open.insert(frame.asked->frame.frame);
  if (!frame.last || !frame.last->opened) return;
  order.first_opened = std::min(order.first_opened.value_or(*frame.last->opened), *frame.last->opened);
}

}  // namespace

PastRig past_of(const shotlog::Account& account, const std::string& rig) {
  PastRig out;
  std::map<std::int64_t, PastOrder> orders;
  for (const auto& [name, frame] : account.of(rig)) {
    out.steps[name.step].sets.try_emplace(name.set, frame.due());
    if (frame.asked) add(orders[frame.asked->order], frame);
    if (frame.asked && frame.is(order::Outcome::unknown))
      out.unresolved.push_back({frame.asked->order, name, frame.due()});
    if (frame.last && frame.last->opened) out.opened.push_back(*frame.last->opened);
  }
  std::sort(out.opened.begin(), out.opened.end());
  for (auto& [id, order] : orders) {
    if (!order.open.empty()) out.open_orders.push_back(std::move(order));
  }
  out.skipped = account.skipped;
  const auto found = account.rigs.find(rig);
  if (found == account.rigs.end()) return out;
  // What the sky had no room for isn't in that plan's timeline; another's may have it.
  for (const auto& [step, left] : found->second.left_out)
    if (left.skip.reason != shotlog::SkipReason::not_here) out.steps[step].passed_over = true;
  out.held = found->second.held;
  out.trim = {found->second.trim};
  return out;
}

}  // namespace noonfall::run
