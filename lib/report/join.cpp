#include "lib/report/join.h"

#include <algorithm>
#include <map>

namespace noonfall::report {
namespace {

using order::Outcome;
using shotlog::Account;
using shotlog::FrameAccount;
using shotlog::Line;

/// How much is known of a frame.
int known(const FrameAccount& frame) {
  if (!frame.last) return 0;
  if (frame.is(Outcome::unknown)) return 1;
  return frame.is(Outcome::fired) ? 3 : 2;
}

void add(std::vector<shotlog::Away>& all, const std::vector<shotlog::Away>& more) {
  for (const auto& each : more) {
    const auto same = std::find_if(all.begin(), all.end(),
                                   [&](const shotlog::Away& other) { return other.from == each.from; });
    if (same == all.end()) {
      all.push_back(each);
    } else {
      same->until = std::min(same->until, each.until);
    }
  }
}

/// Frames, and what kept rigs from taking them: what a report goes by.
void add(Account& all, const Account& more) {
  const auto plans_before = all.plans.size();
  all.plans.insert(all.plans.end(), more.plans.begin(), more.plans.end());
  for (const auto& [name, frame] : more.frames) {
    auto& kept = all.frames[name];
    if (known(frame) < known(kept)) continue;
    kept = frame;
    kept.plan = more.plans.empty() ? std::max<std::size_t>(plans_before, 1) - 1 : plans_before + frame.plan;
  }
  for (const auto& [name, rig] : more.rigs) {
    auto& kept = all.rigs[name];
    add(kept.away, rig.away);
    kept.left_out.insert(rig.left_out.begin(), rig.left_out.end());
  }
  all.last_utc = std::max(all.last_utc, more.last_utc);
}

const shotlog::PlannedRig* find(const shotlog::Header& plan, const std::string& rig) {
  const auto found = std::find_if(plan.rigs.begin(), plan.rigs.end(),
                                  [&](const shotlog::PlannedRig& each) { return each.rig == rig; });
  return found == plan.rigs.end() ? nullptr : &*found;
}

shotlog::Header plan_of(const std::vector<Account>& accounts) {
  shotlog::Header plan;
  for (auto each = accounts.rbegin(); each != accounts.rend(); ++each) {
    if (each->plans.empty()) continue;
    const auto own = each->plan();
    if (plan.rigs.empty()) {
      plan = own;
      continue;
    }
    for (const auto& rig : own.rigs)
      if (find(plan, rig.rig) == nullptr) plan.rigs.push_back(rig);
  }
  return plan;
}

bool is_complete(const std::vector<Account>& accounts, const shotlog::Header& plan) {
  const auto done = [&](const shotlog::PlannedRig& rig) {
    return std::any_of(accounts.begin(), accounts.end(), [&](const Account& each) {
      return each.ended == shotlog::RunEnd::done && find(each.plan(), rig.rig) != nullptr;
    });
  };
  if (plan.rigs.empty()) return !accounts.empty() && accounts.back().ended == shotlog::RunEnd::done;
  return std::all_of(plan.rigs.begin(), plan.rigs.end(), done);
}

/// A run that is over, whole or not, used no more; one cut off or still going isn't judged by what comes
/// after.
Utc told_until(const std::vector<Account>& accounts) {
  Utc until{};
  for (const auto& each : accounts)
    if (each.last_utc >= until) until = each.ended ? Utc::max() : each.last_utc;
  return until;
}

bool tells_of_a_frame(const shotlog::Entry& entry) {
  const auto* skip = std::get_if<shotlog::Skip>(&entry);
  return std::holds_alternative<shotlog::Intent>(entry) ||
         std::holds_alternative<shotlog::FrameOutcome>(entry) || (skip != nullptr && skip->frame.set > 0);
}

using Told = std::multimap<Utc, Line>;

void add_story(Told& told, const std::vector<Line>& lines) {
  for (const auto& line : lines) {
    if (tells_of_a_frame(line.entry)) continue;
    const auto [begin, end] = told.equal_range(line.utc);
    const bool copied = std::any_of(begin, end, [&](const auto& each) { return each.second == line; });
    if (!copied) told.emplace(line.utc, line);
  }
}

void add_clock(std::vector<ClockSpan>& spans, const std::vector<Line>& lines) {
  bool begun = false;
  for (const auto& line : lines) {
    if (begun && spans.back().grade == line.clock.grade) {
      spans.back().until = std::max(spans.back().until, line.utc);
      spans.back().widest = std::max(spans.back().widest, line.clock.bound);
      continue;
    }
    if (begun) spans.back().until = line.utc;
    spans.push_back({line.utc, line.utc, line.clock.grade, line.clock.bound});
    begun = true;
  }
}

}  // namespace

Joined join(std::span<const shotlog::Replayed> logs) {
  Joined out;
  std::vector<Account> accounts;
  Told told;
  for (const auto& log : logs) {
    accounts.push_back(shotlog::account_of(log.lines));
    if (accounts.size() == 1) {
      out.account = accounts.front();
    } else {
      add(out.account, accounts.back());
    }
    add_story(told, log.lines);
    add_clock(out.clock, log.lines);
  }
  for (auto& [utc, line] : told) out.story.push_back(std::move(line));
  out.plan = plan_of(accounts);
  out.complete = is_complete(accounts, out.plan);
  out.told_until = out.complete ? Utc::max() : told_until(accounts);
  return out;
}

}  // namespace noonfall::report
