#include "daemon/worker/order_book.h"

#include <doctest/doctest.h>

namespace noonfall::worker {
namespace {

using namespace std::chrono_literals;

order::Order order_with_id(std::int64_t id) {
  order::Order order;
  order.id = id;
  order.frames.resize(1);
  return order;
}

/// Numbers of all that is left to say.
std::vector<std::int64_t> say_all(OrderBook& book) {
  std::vector<std::int64_t> numbers;
  while (const auto* report = book.next_to_say()) numbers.push_back(report->number);
  return numbers;
}

std::vector<std::int64_t> held(const OrderBook& book) {
  std::vector<std::int64_t> ids;
  for (const auto& order : book.held()) ids.push_back(order.order);
  return ids;
}

using Numbers = std::vector<std::int64_t>;

}  // namespace

TEST_CASE("reports are said in turn, again on a new line, and no more once acknowledged") {
  OrderBook book;
  for (int n = 0; n < 3; ++n) book.add(order::OrderStarted{1, {}});
  CHECK(say_all(book) == Numbers{1, 2, 3});
  CHECK(say_all(book).empty());
  book.acknowledge(1);
  book.add(order::OrderStarted{1, {}});
  CHECK(say_all(book) == Numbers{4});
  book.say_again();
  CHECK(book.first_report() == 2);
  CHECK(say_all(book) == Numbers{2, 3, 4});
  book.acknowledge(99);
  CHECK(book.all_acknowledged());
  CHECK(book.first_report() == 5);
  book.say_again();
  CHECK(say_all(book).empty());
}

TEST_CASE("an acknowledgement between saying and saying on skips nothing") {
  OrderBook book;
  for (int n = 0; n < 4; ++n) book.add(order::OrderStarted{1, {}});
  CHECK(book.next_to_say()->number == 1);
  CHECK(book.next_to_say()->number == 2);
  book.acknowledge(1);
  CHECK(say_all(book) == Numbers{3, 4});
}

TEST_CASE("an order is held until its end is acknowledged, and counts against the limit until its end") {
  OrderBook book;
  CHECK_FALSE(book.take(order_with_id(5)));
  for (std::int64_t id = 6; id <= 8; ++id) CHECK_FALSE(book.take(order_with_id(id)));
  CHECK(book.take(order_with_id(9)) == "order 9 is one too many: 4 are held already");
  CHECK_FALSE(book.idle());
  book.add(order::OrderStarted{5, Utc{3s}});
  CHECK(book.held()[0].started == Utc{3s});
  CHECK_FALSE(book.held()[1].started);
  book.add(order::OrderDone{5, {}});
  CHECK(held(book) == Numbers{5, 6, 7, 8});
  CHECK_FALSE(book.take(order_with_id(9)));
  book.acknowledge(1);
  CHECK(held(book) == Numbers{5, 6, 7, 8, 9});
  book.acknowledge(2);
  CHECK(held(book) == Numbers{6, 7, 8, 9});
  for (std::int64_t id = 6; id <= 9; ++id) book.add(order::OrderDone{id, {}});
  CHECK(book.idle());
  CHECK(book.last_order() == 9);
}

TEST_CASE("an order that is no order is refused, and leaves no trace") {
  OrderBook book;
  CHECK(book.take(order::Order{1, {}, {}, {}, {}, Utc::max(), false}) == "order 1 has no frames");
  CHECK_FALSE(book.take(order_with_id(3)));
  CHECK(book.take(order_with_id(3)) == "order 3 isn't newer than order 3, taken before");
  CHECK(book.take(order_with_id(2)) == "order 2 isn't newer than order 3, taken before");
  CHECK(held(book) == Numbers{3});
}

}  // namespace noonfall::worker
