#include "daemon/worker/order_book.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

namespace noonfall::worker {

std::optional<std::string> OrderBook::take(const order::Order& order) {
  if (order.id <= last_order_) {
    return fmt::format("order {} isn't newer than order {}, taken before", order.id, last_order_);
  }
  if (order.frames.empty()) return fmt::format("order {} has no frames", order.id);
  const auto held = std::ranges::count_if(orders_, [](const Taken& taken) { return !taken.done_in; });
  if (static_cast<std::size_t>(held) >= order::most_held) {
    return fmt::format("order {} is one too many: {} are held already", order.id, held);
  }
  last_order_ = order.id;
  orders_.push_back({order.id, std::nullopt, std::nullopt});
  return std::nullopt;
}

OrderBook::Taken* OrderBook::find(std::int64_t id) {
  const auto found = std::ranges::find(orders_, id, &Taken::id);
  return found == orders_.end() ? nullptr : &*found;
}

void OrderBook::add(order::Report report) {
  ++last_report_;
  if (const auto* started = std::get_if<order::OrderStarted>(&report)) {
    if (auto* taken = find(started->order)) taken->started = started->at;
  } else if (const auto* done = std::get_if<order::OrderDone>(&report)) {
    if (auto* taken = find(done->order)) taken->done_in = last_report_;
  }
  reports_.push_back({last_report_, std::move(report)});
}

void OrderBook::acknowledge(std::int64_t report) {
  while (!reports_.empty() && reports_.front().number <= report) {
    reports_.pop_front();
    if (said_ > 0) --said_;
  }
  const auto first = first_report();
  std::erase_if(orders_, [&](const Taken& taken) { return taken.done_in && *taken.done_in < first; });
}

const NumberedReport* OrderBook::next_to_say() {
  return said_ < reports_.size() ? &reports_[said_++] : nullptr;
}

std::vector<order::HeldOrder> OrderBook::held() const {
  std::vector<order::HeldOrder> held;
  for (const auto& taken : orders_) held.push_back({taken.id, taken.started});
  return held;
}

std::int64_t OrderBook::first_report() const {
  return reports_.empty() ? last_report_ + 1 : reports_.front().number;
}

bool OrderBook::idle() const {
  return std::ranges::all_of(orders_, [](const Taken& taken) { return taken.done_in.has_value(); });
}

}  // namespace noonfall::worker
