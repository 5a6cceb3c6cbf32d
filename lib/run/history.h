// What an earlier core did with a rig, by the account of its log, for the core that goes on with it.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "lib/shotlog/account.h"

namespace noonfall::run {

/// An order of which not every frame has had its last word.
struct PastOrder {
  std::int64_t id = 0;
  std::vector<shotlog::Intent> frames;  // all of them, in order
  std::set<std::int32_t> open;          // the numbers of those without a last word
  std::optional<Utc> first_opened;
};

struct PastStep {
  std::map<std::int32_t, Utc> sets;  // intended or passed over; when the first frame was due
  bool passed_over = false;          // as a whole
};

/// A frame last heard of as unknown: a late report may still resolve it.
struct Unresolved {
  std::int64_t order = 0;
  shotlog::FrameName name;
  Utc due;
};

struct PastRig {
  std::map<std::string, PastStep> steps;
  std::vector<PastOrder> open_orders;  // by rising id
  std::vector<Unresolved> unresolved;
  std::vector<Utc> opened;  // shutters, in turn
  bool held = false;        // by the operator, who also trimmed it and skipped steps
  Stops trim{};
  std::set<std::string> skipped;
};

[[nodiscard]] PastRig past_of(const shotlog::Account& account, const std::string& rig);

}  // namespace noonfall::run
