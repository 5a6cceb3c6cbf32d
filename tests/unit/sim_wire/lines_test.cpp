// The body's end of the cable: bytes as USB cuts them, and hosts that want the same body.
#include "sim/wire/line_host.h"
#include "tests/unit/sim_wire/some_body.h"

using namespace noonfall;
using namespace noonfall::wire;
using namespace std::chrono_literals;

namespace {

using Verb = LineRequest::Verb;

Bytes command(std::uint16_t code, std::uint32_t transaction,
              const std::vector<std::uint32_t>& parameters = {}) {
  return encode(container(ContainerType::command, code, transaction, parameters));
}

std::uint16_t response_of(const Bytes& bytes) {
  const auto read = decode_container(bytes);
  REQUIRE(read);
  CHECK(read->type == ContainerType::response);
  return read->code;
}

/// Asks and gets the answer at once.
LineAnswer ask(LineHost& host, int client, LineRequest request, Utc now) {
  host.take(client, std::move(request), now);
  const auto answer = host.answer(now);
  REQUIRE(answer);
  CHECK(answer->first == client);
  return answer->second;
}

}  // namespace

TEST_CASE(
    "a reply comes in parts no longer than asked for, the response after the data, not before its time") {
  PtpBody body{{Family::generic}, some_setup()};
  UsbLine line{body};
  line.write(command(operation::get_device_info, 0), noon);
  CHECK_FALSE(line.read(1024, noon));
  REQUIRE(line.readable_at());
  const auto then = *line.readable_at();
  Bytes data;
  while (data.size() < 12 || data.size() < *stated_length(data)) {
    const auto part = line.read(16, then);
    REQUIRE(part);
    CHECK(part->size() <= 16);
    data.insert(data.end(), part->begin(), part->end());
  }
  const auto whole = decode_container(data);
  REQUIRE(whole);
  CHECK(decode_device_info(whole->payload));
  CHECK(response_of(line.read(512, then).value()) == response::ok);
  CHECK_FALSE(line.read(512, then + 1h));
}

TEST_CASE("data that the host sends in parts are put together") {
  PtpBody body{{Family::generic}, some_setup()};
  UsbLine line{body};
  line.write(command(operation::open_session, 0, {1}), noon);
  (void)line.read(512, noon + 1s);
  line.write(command(operation::set_device_prop_value, 1, {property::exposure_index}), noon + 1s);
  CHECK_FALSE(line.readable_at());
  const auto data = encode(Container{ContainerType::data, operation::set_device_prop_value, 1, {0x90, 0x01}});
  line.write(ByteView{data}.first(13), noon + 1s);
  line.write({}, noon + 1s);
  line.write(ByteView{data}.subspan(13), noon + 1s);
  CHECK(response_of(line.read(512, noon + 2s).value()) == response::ok);
}

TEST_CASE("data of another transaction, and bytes that are no container, do nothing") {
  PtpBody body{{Family::generic}, some_setup()};
  UsbLine line{body};
  line.write(command(operation::open_session, 0, {1}), noon);
  (void)line.read(512, noon + 1s);
  line.write(command(operation::set_device_prop_value, 1, {property::exposure_index}), noon + 1s);
  line.write(encode(Container{ContainerType::data, operation::set_device_prop_value, 2, {0x90, 0x01}}),
             noon + 1s);
  line.write(Bytes{3, 0, 0, 0, 1, 1, 1}, noon + 1s);
  line.write(Bytes{0xFF, 0xFF, 0xFF, 0xFF}, noon + 1s);
  CHECK_FALSE(line.readable_at());
  line.write(command(operation::get_storage_ids, 3), noon + 2s);
  CHECK(line.readable_at());
}

TEST_CASE("changed bytes are of the dataset, few, and the same in every run with the same seed") {
  const auto info = [](std::vector<LineFault> faults) {
    PtpBody body{{Family::generic}, some_setup(), std::move(faults)};
    UsbLine line{body};
    line.write(command(operation::get_device_info, 0), noon);
    auto data = line.read(4096, noon + transaction_time).value();
    CHECK(response_of(line.read(512, noon + transaction_time).value()) == response::ok);
    return data;
  };
  const auto with_seed = [&](std::uint32_t seed) {
    LineFault fault;
    fault.effect = Damaged{Damaged::How::bytes, seed};
    return info({fault});
  };
  const auto honest = info({});
  int others = 0;
  for (std::uint32_t seed = 1; seed <= 20; ++seed) {
    const auto data = with_seed(seed);
    REQUIRE(data.size() == honest.size());
    CHECK(data == with_seed(seed));
    CHECK(std::equal(data.begin(), data.begin() + header_size, honest.begin()));
    int changed = 0;
    for (std::size_t n = 0; n < data.size(); ++n) changed += data[n] != honest[n] ? 1 : 0;
    CHECK(changed <= 4);
    others += changed > 0 ? 1 : 0;
  }
  CHECK(others >= 19);  // a byte may become what it was
}

TEST_CASE("one operation after the other: a second command waits for the first one's end") {
  PtpBody body{{Family::generic}, some_setup()};
  UsbLine line{body};
  line.write(command(operation::open_session, 0, {1}), noon);
  line.write(command(operation::get_num_objects, 1, {every, 0, 0}), noon);
  CHECK(response_of(line.read(512, noon + transaction_time).value()) == response::ok);
  CHECK(line.readable_at() == noon + 2 * transaction_time);
}

TEST_CASE("one host has a body at a time, the next one when the first has closed or died") {
  PtpBody body{{Family::generic}, some_setup()};
  LineHost host{body, {1, 5, 0xFFFF, 1}};
  const auto place = decode_bus_place(ask(host, 1, {Verb::who}, noon).bytes);
  CHECK(place == BusPlace{1, 5, 0xFFFF, 1});
  CHECK(ask(host, 1, {Verb::open, 4}, noon).result == port::no_device);
  CHECK(ask(host, 1, {Verb::open, 5}, noon).result == port::ok);
  CHECK(ask(host, 2, {Verb::open, 5}, noon).result == port::claimed);
  CHECK(ask(host, 2, {Verb::write, 0, 0, command(operation::open_session, 0, {1})}, noon).result ==
        port::no_device);
  CHECK(ask(host, 1, {Verb::close}, noon).result == port::ok);
  CHECK(ask(host, 2, {Verb::open, 5}, noon).result == port::ok);
  host.leave(2);
  CHECK(ask(host, 1, {Verb::open, 5}, noon).result == port::ok);
}

TEST_CASE("a read waits for its answer or its limit, whichever comes first") {
  PtpBody body{{Family::generic}, some_setup()};
  LineHost host{body, {}};
  CHECK(ask(host, 1, {Verb::open, 1}, noon).result == port::ok);
  host.take(1, {Verb::read, 512, 100}, noon);
  CHECK_FALSE(host.answer(noon));
  CHECK(host.wake_at(noon));
  CHECK_FALSE(host.answer(noon + 99ms));
  CHECK(host.answer(noon + 100ms)->second.result == port::timeout);
  CHECK_FALSE(host.wake_at(noon + 100ms));
  CHECK(ask(host, 1, {Verb::write, 0, 0, command(operation::open_session, 0, {1})}, noon + 1s).result ==
        port::ok);
  host.take(1, {Verb::read, 512, 100}, noon + 1s);
  CHECK_FALSE(host.answer(noon + 1s));
  CHECK(host.wake_at(noon + 1s) == noon + 1s + transaction_time);
  CHECK(host.answer(noon + 1s + transaction_time)->second.result == port::ok);
}

TEST_CASE("whoever waits for a body that goes is told so") {
  auto setup = some_setup();
  setup.faults = {{noon + 10s, noon + 12s, {}, sim::BodyGone{}}};
  PtpBody body{{Family::generic}, setup};
  LineHost host{body, {}};
  CHECK(ask(host, 1, {Verb::open, 1}, noon).result == port::ok);
  host.take(1, {Verb::interrupt, 0, 60'000}, noon + 9s);
  CHECK_FALSE(host.answer(noon + 9s));
  CHECK(host.answer(noon + 10s)->second.result == port::no_device);
  CHECK(ask(host, 1, {Verb::who}, noon + 11s).result == port::no_device);
  CHECK(decode_bus_place(ask(host, 1, {Verb::who}, noon + 12s).bytes)->address == 2);
  CHECK(ask(host, 1, {Verb::read, 512, 0}, noon + 12s).result == port::no_device);
  CHECK(ask(host, 1, {Verb::open, 2}, noon + 12s).result == port::ok);
}

TEST_CASE("what driver and body say to each other is read as it was written, and refused when cut") {
  const LineRequest request{Verb::write, 7, 20'000, {1, 2, 3}};
  CHECK(decode_line_request(encode(request)) == request);
  CHECK_FALSE(decode_line_request(Bytes{3, 0, 0}));
  CHECK_FALSE(decode_line_request(Bytes{9, 0, 0, 0, 0, 0, 0, 0, 0}));
  const LineAnswer answer{port::no_device, {}};
  CHECK(decode_line_answer(encode(answer)) == answer);
  CHECK_FALSE(decode_line_answer(Bytes{1, 2, 3}));
  CHECK_FALSE(decode_bus_place(Bytes{1, 2, 3}));
}
