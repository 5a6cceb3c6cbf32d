#include "daemon/worker/order_desk.h"

#include <algorithm>
#include <iterator>
#include <utility>

#include <fmt/format.h>

namespace noonfall::worker {
namespace {

const order::Order* as_order(const order::ToRig& message) {
  return std::get_if<order::Order>(&message);
}

void close(const order::Order& order, order::Outcome outcome, const std::string& why, Utc now,
           std::vector<order::Report>& reports) {
  for (const auto& frame : order.frames) {
    reports.emplace_back(order::FrameDone{.order = order.id,
                                          .id = frame.id,
                                          .outcome = outcome,
                                          .at = now,
                                          .exposure = frame.exposure,
                                          .why = why});
  }
  reports.emplace_back(order::OrderDone{order.id, now});
}

bool hopeless(const order::Order& order, Utc now) {
  return std::ranges::all_of(order.frames, [&](const auto& frame) { return frame.latest < now; });
}

}  // namespace

void OrderDesk::give(order::ToRig message) {
  if (const auto* cancel = std::get_if<order::Cancel>(&message)) cancelled_.push_back(*cancel);
  waiting_.push_back(std::move(message));
}

std::vector<order::ToRig> OrderDesk::take_waiting() {
  std::vector<order::ToRig> messages(std::make_move_iterator(waiting_.begin()),
                                     std::make_move_iterator(waiting_.end()));
  waiting_.clear();
  for (const auto& message : messages) {
    if (const auto* order = as_order(message)) said_.push_back(*order);
  }
  return messages;
}

run::Attached OrderDesk::attached(const WorkerHello& worker) {
  const bool same = pid_ == worker.pid;
  if (!same) {
    worker_lost();
    last_report_ = worker.first_report - 1;
  }
  pid_ = worker.pid;
  lost_.clear();
  // A newer order than its last never reached it.
  std::deque<order::ToRig> again;
  for (auto& order : said_) {
    if (order.id > worker.last_order) again.emplace_back(std::move(order));
  }
  std::erase_if(said_, [&](const auto& order) { return order.id > worker.last_order; });
  std::erase_if(waiting_, [](const auto& message) { return std::holds_alternative<order::Cancel>(message); });
  waiting_.insert(waiting_.begin(), std::make_move_iterator(again.begin()),
                  std::make_move_iterator(again.end()));
  run::Attached attached{rig_, worker.held, worker.last_order};
  for (const auto& message : waiting_) {
    if (const auto* order = as_order(message)) attached.held.push_back({order->id, std::nullopt});
  }
  std::erase_if(cancelled_, [&](const auto& cancel) {
    return std::ranges::find(attached.held, cancel.order, &order::HeldOrder::order) == attached.held.end();
  });
  waiting_.insert(waiting_.end(), cancelled_.begin(), cancelled_.end());
  return attached;
}

void OrderDesk::worker_lost() {
  pid_.reset();
  std::ranges::move(said_, std::back_inserter(lost_));
  said_.clear();
  last_report_ = 0;
  // A fresh process has a fresh body: there is nothing to recover.
  std::erase_if(waiting_,
                [](const auto& message) { return std::holds_alternative<order::Recover>(message); });
}

std::vector<order::Report> OrderDesk::expire(Utc now) {
  std::vector<order::Report> reports;
  std::erase_if(waiting_, [&](const auto& message) {
    const auto* order = as_order(message);
    const bool cancelled = order != nullptr && is_cancelled(order->id);
    if (order == nullptr || (!cancelled && !hopeless(*order, now))) return false;
    close(*order, cancelled ? order::Outcome::cancelled : order::Outcome::skipped, "no worker held the rig",
          now, reports);
    return true;
  });
  std::erase_if(lost_, [&](const auto& order) {
    if (!is_cancelled(order.id)) return false;
    close(order, order::Outcome::unknown, "its worker died", now, reports);
    return true;
  });
  return reports;
}

std::vector<order::Report> OrderDesk::refused(std::int64_t id, const std::string& why, Utc now) {
  std::vector<order::Report> reports;
  const auto order = std::ranges::find(said_, id, &order::Order::id);
  if (order == said_.end()) return reports;
  close(*order, order::Outcome::failed, fmt::format("the worker wouldn't take it: {}", why), now, reports);
  said_.erase(order);
  return reports;
}

bool OrderDesk::is_cancelled(std::int64_t order) const {
  return std::ranges::find(cancelled_, order, &order::Cancel::order) != cancelled_.end();
}

bool OrderDesk::is_new(const NumberedReport& report) {
  if (report.number <= last_report_) return false;
  last_report_ = report.number;
  if (const auto* done = std::get_if<order::OrderDone>(&report.report)) {
    std::erase_if(said_, [&](const auto& order) { return order.id == done->order; });
    std::erase_if(cancelled_, [&](const auto& cancel) { return cancel.order == done->order; });
  }
  return true;
}

}  // namespace noonfall::worker
