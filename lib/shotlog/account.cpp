#include "lib/shotlog/account.h"

#include <algorithm>

#include "lib/base/match.h"

namespace noonfall::shotlog {
namespace {

/// What one line adds.
struct Fold {
  Account& out;
  Utc at;

  void operator()(const Header& header) const { out.plans.push_back(header); }

  /// Another plan may have room for what the one before it had none for.
  void operator()(const Amendment& amendment) const {
    out.plans.push_back(amendment.header);
    out.ended.reset();
    for (auto& [name, rig] : out.rigs)
      std::erase_if(rig.left_out,
                    [](const auto& step) { return step.second.skip.reason == SkipReason::not_here; });
  }

  void operator()(const Intent& intent) const {
    out.last_order = std::max(out.last_order, intent.order);
    frame(intent.frame).asked = intent;
  }

  void operator()(const FrameOutcome& outcome) const {
    frame(outcome.frame).last = outcome;
    if (outcome.result == order::Outcome::fired) is_there(out.rigs[outcome.frame.rig]);
  }

  void operator()(const Skip& skip) const {
    if (skip.frame.set == 0) {
      out.rigs[skip.frame.rig].left_out[skip.frame.step] = {at, skip};
      return;
    }
    auto& skipped = frame(skip.frame);
    skipped.over = skip.reason == SkipReason::step_over;
    skipped.last = {.frame = skip.frame,
                    .result = order::Outcome::skipped,
                    .due = skip.due.value_or(Utc{}),
                    .why = why_of(skip)};
  }

  void operator()(const CueLine& cue) const {
    out.cues.push_back(cue);
    if (!cue.filter || !cue.why.empty()) return;
    auto& filter = out.rigs[cue.filter->rig].filter;
    filter.coming_off = filter.coming_off || cue.filter->leaves != FilterState::on;
    if (cue.filter->late && !filter.late) filter.late = at;
  }

  void operator()(const FilterChange& change) const {
    auto& filter = out.rigs[change.rig].filter;
    filter.untold = !filter.state && !change.confirmed && change.state == FilterState::unknown;
    filter.state = change.state;
    filter.confirmed = change.confirmed;
    // "On" from a person while the words are still going says nothing of what they do after them.
    if (!change.confirmed || change.state == FilterState::off) filter.coming_off = false;
    if (change.state == FilterState::on) filter.late.reset();
  }

  void operator()(const BodyNews& fault) const {
    auto& rig = out.rigs[fault.rig];
    if (fault.ready) return is_there(rig);
    if (rig.away_now() == nullptr) rig.away.push_back({.from = at, .why = fault.why});
    rig.away.back().told = at;
    rig.away.back().words = fault.why;
  }

  void operator()(const ClockLine& line) const {
    if (line.stamp) out.stamp = line.stamp;
  }

  void operator()(const CommandLine& line) const {
    if (!line.why.empty()) return;
    std::visit(Match{[&](const Hold& hold) { out.rigs[hold.rig].held = true; },
                     [&](const Resume& resume) { out.rigs[resume.rig].held = false; },
                     [&](const Trim& trim) {
                       auto& rig = out.rigs[trim.rig];
                       rig.trim += trim.stops;
                       if (rig.looked) rig.looked->look.trim.reset();
                     },
                     [&](const SkipStep& skip) { out.skipped.insert(skip.step); },
                     [](const auto& /*over with what it did*/) {}},
               line.command);
  }

  void operator()(const Ended& end) const { out.ended = end.how; }
  void operator()(const Note& /*for people*/) const {}
  void operator()(const Look& look) const { out.rigs[look.rig].looked = {at, look}; }

  [[nodiscard]] FrameAccount& frame(const FrameName& name) const {
    const auto [found, is_new] = out.frames.try_emplace(name);
    if (!is_new) return found->second;
    out.rigs.try_emplace(name.rig);
    found->second.plan = std::max<std::size_t>(out.plans.size(), 1) - 1;
    return found->second;
  }

  void is_there(RigAccount& rig) const {
    rig.heard_of = true;
    if (rig.away_now() != nullptr) rig.away.back().until = at;
  }
};

constexpr int Tally::*tallied[] = {&Tally::fired,     &Tally::failed, &Tally::unknown, &Tally::skipped,
                                   &Tally::cancelled, &Tally::open,   &Tally::over};

}  // namespace

/// As the outcomes are numbered.
void Tally::count(const FrameAccount& frame) {
  ++(frame.over ? over : frame.last ? this->*tallied[static_cast<std::size_t>(frame.last->result)] : open);
}

void Tally::add(const Tally& other) {
  for (const auto part : tallied) this->*part += other.*part;
}

void Account::take(const Line& line) {
  last_seq = line.seq;
  last_utc = std::max(last_utc, line.utc);
  clock = line.clock;
  std::visit(Fold{*this, line.utc}, line.entry);
}

FrameSpan Account::of(const std::string& rig) const {
  return {frames.lower_bound({rig, {}}), frames.lower_bound({rig + '\0', {}})};
}

FrameSpan Account::of(const std::string& rig, const std::string& step) const {
  return {frames.lower_bound({rig, step}), frames.lower_bound({rig, step + '\0'})};
}

Account account_of(std::span<const Line> lines) {
  Account account;
  for (const auto& line : lines) account.take(line);
  return account;
}

}  // namespace noonfall::shotlog
