#include "daemon/worker/order_desk.h"

#include <doctest/doctest.h>

namespace noonfall::worker {
namespace {

using namespace std::chrono_literals;

constexpr Utc zero{};

order::Order order_until(std::int64_t id, std::vector<Duration> latest) {
  order::Order order;
  order.id = id;
  std::int32_t n = 0;
  for (const auto instant : latest) {
    order.frames.push_back({{2, 0, 1, ++n}, {{1, 8}, std::nullopt, {200}}, zero, zero + instant});
  }
  return order;
}

WorkerHello hello(std::int32_t pid, std::int64_t last_order, std::vector<order::HeldOrder> held = {},
                  std::int64_t first_report = 1) {
  WorkerHello worker;
  worker.pid = pid;
  worker.last_order = last_order;
  worker.held = std::move(held);
  worker.first_report = first_report;
  return worker;
}

/// "order 3", "cancel 3", "recover", in turn.
std::vector<std::string> said(OrderDesk& desk) {
  std::vector<std::string> words;
  for (const auto& message : desk.take_waiting()) {
    if (const auto* order = std::get_if<order::Order>(&message)) {
      words.push_back("order " + std::to_string(order->id));
    } else if (const auto* cancel = std::get_if<order::Cancel>(&message)) {
      words.push_back("cancel " + std::to_string(cancel->order));
    } else {
      words.emplace_back("recover");
    }
  }
  return words;
}

std::vector<std::int64_t> held(const run::Attached& attached) {
  CHECK(attached.rig == 2);
  std::vector<std::int64_t> ids;
  for (const auto& order : attached.held) ids.push_back(order.order);
  return ids;
}

using Words = std::vector<std::string>;
using Ids = std::vector<std::int64_t>;
const order::Recover reopen{order::Remedy::reopen, zero + 1h};

}  // namespace

TEST_CASE("what waits is said once, in the order given") {
  OrderDesk desk{2};
  desk.give(order_until(1, {1s}));
  desk.give(order::Cancel{1, "no"});
  desk.give(reopen);
  CHECK(said(desk) == Words{"order 1", "cancel 1", "recover"});
  CHECK(said(desk).empty());
}

TEST_CASE("the core is told of what the worker holds and of what is on its way") {
  OrderDesk desk{2};
  desk.give(order_until(7, {1s}));
  const auto attached = desk.attached(hello(40, 6, {{6, zero + 3s}}));
  CHECK(held(attached) == Ids{6, 7});
  CHECK(attached.held[0].started == zero + 3s);
  CHECK_FALSE(attached.held[1].started);
}

TEST_CASE("an order said and never heard is said again to the same worker") {
  OrderDesk desk{2};
  (void)desk.attached(hello(40, 0));
  desk.give(order_until(1, {1s}));
  desk.give(order_until(2, {1s}));
  CHECK(said(desk) == Words{"order 1", "order 2"});
  desk.give(order::Cancel{2, "no"});
  CHECK(held(desk.attached(hello(40, 1, {{1, {}}}))) == Ids{1, 2});
  CHECK(said(desk) == Words{"order 2", "cancel 2"});
  CHECK(held(desk.attached(hello(40, 1, {{1, {}}}))) == Ids{1, 2});
  CHECK(said(desk) == Words{"order 2", "cancel 2"});
}

TEST_CASE("a cancel that may have been lost with the line is said again, until its order's end is known") {
  OrderDesk desk{2};
  (void)desk.attached(hello(40, 0));
  desk.give(order_until(1, {1s}));
  desk.give(order_until(2, {1s}));
  desk.give(order::Cancel{2, "the rig was held"});
  CHECK(said(desk) == Words{"order 1", "order 2", "cancel 2"});
  CHECK(held(desk.attached(hello(40, 2, {{1, {}}, {2, {}}}))) == Ids{1, 2});
  CHECK(said(desk) == Words{"cancel 2"});
  CHECK(desk.is_new({1, order::OrderDone{2, {}}}));
  (void)desk.attached(hello(40, 2, {{1, {}}, {2, {}}}));
  CHECK(said(desk).empty());
}

TEST_CASE("a later daemon's cancel of an order that it never gave is said again, too") {
  OrderDesk desk{2};
  desk.give(order::Cancel{7, "the rig was held"});
  (void)desk.attached(hello(40, 7, {{7, {}}}));
  CHECK(said(desk) == Words{"cancel 7"});
  (void)desk.attached(hello(40, 7, {{7, {}}}));
  CHECK(said(desk) == Words{"cancel 7"});
  (void)desk.attached(hello(40, 7));  // it is done with
  CHECK(said(desk).empty());
}

TEST_CASE("orders said to a process that died are lost, those still waiting are not") {
  OrderDesk desk{2};
  (void)desk.attached(hello(40, 0));
  desk.give(order_until(1, {1s}));
  CHECK(said(desk) == Words{"order 1"});
  desk.worker_lost();
  desk.give(reopen);
  desk.give(order_until(2, {1s}));
  CHECK(held(desk.attached(hello(41, 0))) == Ids{2});
  CHECK(said(desk) == Words{"order 2"});  // there is nothing to recover in a fresh process
}

TEST_CASE("even without news of the death, another process has none of the orders") {
  OrderDesk desk{2};
  (void)desk.attached(hello(40, 0));
  desk.give(order_until(1, {1s}));
  (void)said(desk);
  CHECK(held(desk.attached(hello(41, 0))).empty());
  CHECK(said(desk).empty());
}

TEST_CASE("an order waits until the last instant of its last frame has passed") {
  OrderDesk desk{2};
  desk.give(order_until(1, {2s, 5s}));
  desk.give(order_until(2, {9s}));
  CHECK(desk.expire(zero + 5s).empty());
  const auto reports = desk.expire(zero + 5s + 1us);
  REQUIRE(reports.size() == 3);
  const auto& frame = std::get<order::FrameDone>(reports[1]);
  CHECK(frame.id == order::FrameId{2, 0, 1, 2});
  CHECK(frame.outcome == order::Outcome::skipped);
  CHECK(frame.why == "no worker held the rig");
  CHECK(frame.at == zero + 5s + 1us);
  CHECK(frame.exposure == exposure::Exposure{{1, 8}, std::nullopt, {200}});
  CHECK(std::get<order::OrderDone>(reports[2]).order == 1);
  CHECK(desk.expire(zero + 6s).empty());
  CHECK(said(desk) == Words{"order 2"});
}

TEST_CASE("an order cancelled before any worker had it gets its last words at once") {
  OrderDesk desk{2};
  desk.give(order_until(1, {2s, 5s}));
  desk.give(order_until(2, {9s}));
  desk.give(order::Cancel{1, "stopped"});
  const auto reports = desk.expire(zero);
  REQUIRE(reports.size() == 3);
  CHECK(std::get<order::FrameDone>(reports[0]).outcome == order::Outcome::cancelled);
  CHECK(std::get<order::OrderDone>(reports[2]).order == 1);
  CHECK(desk.expire(zero).empty());
  CHECK(said(desk) == Words{"order 2", "cancel 1"});
}

TEST_CASE("a cancelled order that went with its process is unknown, unless another process has come") {
  OrderDesk desk{2};
  (void)desk.attached(hello(40, 0));
  desk.give(order_until(1, {1h}));
  desk.give(order_until(2, {1h}));
  desk.give(order::Cancel{1, "stopped"});
  (void)said(desk);
  CHECK(desk.expire(zero).empty());  // its worker will say
  desk.worker_lost();
  const auto reports = desk.expire(zero);
  REQUIRE(reports.size() == 2);
  CHECK(std::get<order::FrameDone>(reports[0]).outcome == order::Outcome::unknown);
  CHECK(std::get<order::OrderDone>(reports[1]).order == 1);
  (void)desk.attached(hello(41, 0));  // the core draws its own conclusion
  desk.give(order::Cancel{2, "stopped"});
  CHECK(desk.expire(zero).empty());
}

TEST_CASE("a refused order gets its last words once") {
  OrderDesk desk{2};
  (void)desk.attached(hello(40, 0));
  desk.give(order_until(1, {1s}));
  CHECK(desk.refused(1, "too many", zero).empty());  // not said yet
  (void)said(desk);
  const auto reports = desk.refused(1, "too many", zero + 4s);
  REQUIRE(reports.size() == 2);
  CHECK(std::get<order::FrameDone>(reports[0]).why == "the worker wouldn't take it: too many");
  CHECK(std::get<order::FrameDone>(reports[0]).outcome == order::Outcome::failed);
  CHECK(desk.refused(1, "too many", zero).empty());
  CHECK(held(desk.attached(hello(40, 0))).empty());
}

TEST_CASE("a report is passed on once, however often it is said") {
  OrderDesk desk{2};
  (void)desk.attached(hello(40, 1, {{1, {}}}, 3));
  const auto report = [](std::int64_t number) { return NumberedReport{number, order::OrderStarted{1, {}}}; };
  CHECK(desk.is_new(report(3)));
  CHECK(desk.is_new(report(4)));
  (void)desk.attached(hello(40, 1, {{1, {}}}, 3));  // the line broke, nothing was acknowledged
  CHECK_FALSE(desk.is_new(report(3)));
  CHECK_FALSE(desk.is_new(report(4)));
  CHECK(desk.is_new(report(5)));
  desk.worker_lost();
  (void)desk.attached(hello(41, 0));
  CHECK(desk.is_new(report(1)));
}

TEST_CASE("an order that is done is never said again") {
  OrderDesk desk{2};
  (void)desk.attached(hello(40, 0));
  desk.give(order_until(1, {1s}));
  (void)said(desk);
  CHECK(desk.is_new({1, order::OrderDone{1, {}}}));
  (void)desk.attached(hello(40, 0));
  CHECK(said(desk).empty());
}

}  // namespace noonfall::worker
