#include "lib/run/history.h"

#include <algorithm>

namespace noonfall::run {
namespace {

using shotlog::FilterState;

class Reader {
 public:
  Reader() { out_.header_lost = true; }

  void read(const shotlog::Line& line) {
    out_.last_seq = line.seq;
    out_.clock = line.clock;
    out_.last_utc = std::max(out_.last_utc, line.utc);
    std::visit([&](const auto& entry) { read(entry); }, line.entry);
  }

  History finish() {
    for (auto& [id, order] : orders_) {
      if (!order.open.empty()) rig(order.frames.front().frame.rig).open_orders.push_back(std::move(order));
    }
    for (auto& [name, unresolved] : unresolved_) rig(name.rig).unresolved.push_back(std::move(unresolved));
    return std::move(out_);
  }

 private:
  void read(const shotlog::Header& header) {
    out_.header = header;
    out_.header_lost = false;
  }
  void read(const shotlog::Amendment& amendment) {
    read(amendment.header);
    out_.done = false;
  }

  void read(const shotlog::Intent& intent) {
    out_.last_order = std::max(out_.last_order, intent.order);
    auto& order = orders_[intent.order];
    order.id = intent.order;
    order.frames.push_back(intent);
    order.open.insert(intent.frame.frame);
    order_of_[intent.frame] = intent.order;
    const auto [set, fresh] = step(intent.frame).sets.try_emplace(intent.frame.set, intent.due);
    if (!fresh && intent.frame.frame == 1) set->second = intent.due;
  }

  void read(const shotlog::Outcome& outcome) {
    close(outcome.frame);
    if (outcome.opened) {
      rig(outcome.frame.rig).opened.push_back(*outcome.opened);
      const auto order = order_of_.find(outcome.frame);
      if (order != order_of_.end()) {
        auto& first = orders_[order->second].first_opened;
        first = std::min(first.value_or(*outcome.opened), *outcome.opened);
      }
    }
    if (outcome.result != order::Outcome::unknown) return;
    const auto order = order_of_.find(outcome.frame);
    if (order != order_of_.end()) unresolved_[outcome.frame] = {order->second, outcome.frame, outcome.due};
  }

  void read(const shotlog::Skip& skip) {
    if (skip.frame.set == 0) {
      step(skip.frame).passed_over = true;
      return;
    }
    close(skip.frame);
    if (skip.due) step(skip.frame).sets.try_emplace(skip.frame.set, *skip.due);
  }

  void read(const shotlog::CueSpoken& cue) {
    out_.cues.push_back(cue);
    if (cue.filter && cue.why.empty() && cue.filter->leaves != FilterState::on)
      rig(cue.filter->rig).filter.coming_off = true;
  }

  void read(const shotlog::FilterChange& change) {
    auto& filter = rig(change.rig).filter;
    filter.untold = !filter.state && !change.confirmed && change.state == FilterState::unknown;
    filter.state = change.state;
    filter.confirmed = change.confirmed;
    // "On" from a person while the words are still going says nothing of what they do after them.
    if (!change.confirmed || change.state == FilterState::off) filter.coming_off = false;
  }

  void read(const shotlog::ClockLine& clock) {
    if (clock.stamp) out_.stamp = clock.stamp;
  }
  void read(const shotlog::CommandLine& command) {
    if (command.why.empty()) out_.commands.push_back(command.command);
  }
  void read(const shotlog::Ended& end) { out_.done = out_.done || end.how == shotlog::RunEnd::done; }
  void read(const shotlog::Note& /*for people*/) {}
  void read(const shotlog::Fault& /*of a body*/) {}

  /// The frame has had its last word.
  void close(const shotlog::FrameName& name) {
    unresolved_.erase(name);
    const auto order = order_of_.find(name);
    if (order != order_of_.end()) orders_[order->second].open.erase(name.frame);
  }

  PastRig& rig(const std::string& rig) { return out_.rigs[rig]; }
  PastStep& step(const shotlog::FrameName& name) { return rig(name.rig).steps[name.step]; }

  History out_;
  std::map<std::int64_t, PastOrder> orders_;
  std::map<shotlog::FrameName, std::int64_t> order_of_;
  std::map<shotlog::FrameName, Unresolved> unresolved_;
};

}  // namespace

std::optional<History> history_of(std::span<const shotlog::Line> lines) {
  if (lines.empty()) return std::nullopt;
  Reader reader;
  for (const auto& line : lines) reader.read(line);
  return reader.finish();
}

}  // namespace noonfall::run
