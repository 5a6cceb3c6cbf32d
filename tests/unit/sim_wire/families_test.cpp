// Family A hands its news out as pairs of code and value, family B as records; both only when asked.
#include <algorithm>

#include "sim/wire/family_b_records.h"
#include "tests/unit/sim_wire/news.h"

using namespace noonfall;
using namespace noonfall::wire;
using namespace std::chrono_literals;

TEST_CASE("family A: a picture for the card and one for the host alone are announced differently") {
  PtpBody body{{Family::a}, some_setup()};
  Host host{body};
  CHECK(host.ask(0x9207, {0xFFFFFFFF, 0}) == response::ok);
  CHECK(host.ask(0x90C8) == response::device_busy);
  host.now += 1s;
  CHECK(host.ask(0x90C8) == response::ok);
  const auto card = events_of_a(host);
  REQUIRE(card.size() == 2);
  CHECK(card[0].code == event::object_added);
  CHECK(card[1].code == event::capture_complete);
  CHECK(host.ask(0x9207, {0xFFFFFFFF, 1}) == response::ok);
  host.now += 1s;
  const auto memory = events_of_a(host);
  REQUIRE(memory.size() == 2);
  CHECK(memory[0].code == 0xC101);
  // Gone once fetched.
  CHECK(host.ask(operation::get_object, {memory[0].value}) == response::ok);
  CHECK(host.ask(operation::get_object, {memory[0].value}) == response::invalid_object_handle);
}

TEST_CASE("family A: pictures for the host fill the buffer until they are fetched") {
  auto setup = some_setup();
  setup.profile.buffer = {60};
  PtpBody body{{Family::a}, setup};
  Host host{body};
  std::vector<std::uint32_t> held;
  for (int n = 0; n < 2; ++n) {
    CHECK(host.ask(0x9207, {0xFFFFFFFF, 1}) == response::ok);
    host.now += 1s;
    held.push_back(events_of_a(host).at(0).value);
  }
  CHECK(host.ask(0x9207, {0xFFFFFFFF, 1}) == response::device_busy);
  CHECK(host.ask(operation::get_object, {held[0]}) == response::ok);
  CHECK(host.ask(0x9207, {0xFFFFFFFF, 1}) == response::ok);
}

TEST_CASE("family A: the host finds the vendor's properties by asking for them") {
  PtpBody body{{Family::a}, some_setup()};
  Host host{body};
  REQUIRE(host.ask(0x90CA) == response::ok);
  ByteReader reader{*host.last.data};
  for (const auto code : read_array<std::uint16_t>(reader)) CHECK(host.property(code).code == code);
  CHECK(host.set_u32(0xD100, 1U << 16 | 500) == response::ok);
  CHECK(events_of_a(host) == std::vector<Pair>{{event::device_prop_changed, 0xD100}});
}

TEST_CASE("family B: on entering event mode every property is told, with its choices") {
  PtpBody body{{Family::b}, some_setup()};
  Host host{body};
  CHECK(records_of_b(host).empty());
  CHECK(host.ask(0x9115, {1}) == response::ok);
  const auto told = records_of_b(host);
  CHECK(std::ranges::count(kinds(told), 0xC189) == 13);
  // Without this one a driver asks again and again at the start.
  const Bytes live_view{0xB0, 0xD1, 0, 0, 0, 0, 0, 0};
  CHECK(std::ranges::count(told, live_view, &Record::content) == 1);
  CHECK(records_of_b(host).empty());
}

TEST_CASE("family B: a setting is answered at once, told when taken, and the next one waits for it") {
  PtpBody body{{Family::b}, some_setup()};
  Host host{body};
  const auto before = host.now;
  CHECK(set_b(host, 0xD101, 0x38) == response::ok);
  CHECK(host.now == before + transaction_time);
  CHECK(records_of_b(host).empty());
  CHECK(set_b(host, 0xD103, 0x58) == response::ok);  // taken up when the aperture's 80 ms are over
  CHECK(host.now > noon + 80ms);
  CHECK(host.ask(0x9128, {2, 0}) == response::device_busy);
  host.now += 100ms;
  const auto told = records_of_b(host);
  CHECK(std::ranges::count(told, Bytes{0x01, 0xD1, 0, 0, 0x38, 0, 0, 0}, &Record::content) == 1);
  CHECK(std::ranges::count(told, Bytes{0x03, 0xD1, 0, 0, 0x58, 0, 0, 0}, &Record::content) == 1);
}

TEST_CASE("family B: a full press takes one frame, and the body says busy, then free") {
  PtpBody body{{Family::b}, some_setup()};
  Host host{body};
  CHECK(host.ask(0x9128, {1, 0}) == response::ok);
  CHECK(body.taken().empty());
  CHECK(kinds(records_of_b(host)) == std::vector<std::uint32_t>{0xC1A5});
  CHECK(host.ask(0x9128, {2, 0}) == response::ok);
  CHECK(host.ask(0x9129, {3}) == response::ok);
  CHECK(body.taken().size() == 1);
  const auto busy = records_of_b(host);
  REQUIRE(kinds(busy) == std::vector<std::uint32_t>{0xC18B});
  CHECK(busy[0].content == Bytes{1, 0, 0, 0});
  host.now += 1s;
  const auto free = records_of_b(host);
  REQUIRE(kinds(free) == std::vector<std::uint32_t>{0xC18B, 0xC181});
  CHECK(free[0].content == Bytes{0, 0, 0, 0});
}

TEST_CASE("family B: in continuous drive frames are taken from press to release, at the body's own rate") {
  PtpBody body{{Family::b}, some_setup()};
  Host host{body};
  CHECK(set_b(host, 0xD106, 1) == response::ok);
  host.now += 100ms;
  CHECK(host.ask(0x9128, {3, 0}) == response::ok);
  const auto pressed = host.now;
  host.now += 500ms;
  CHECK(host.ask(0x9129, {3}) == response::ok);
  // 20 frames a second by the profile, the first one lag after the press: 60 ± 8 ms.
  REQUIRE(body.taken().size() == 9);
  CHECK(body.taken().back().opened <= pressed + 500ms);
  CHECK(body.taken()[1].opened - body.taken()[0].opened == 50ms);
}

TEST_CASE("family B: a press let go before the shutter opens is good for one frame") {
  PtpBody body{{Family::b}, some_setup()};
  Host host{body};
  CHECK(set_b(host, 0xD106, 1) == response::ok);
  host.now += 100ms;
  CHECK(host.ask(0x9128, {3, 0}) == response::ok);
  CHECK(host.ask(0x9129, {3}) == response::ok);
  CHECK(body.taken().size() == 1);
}

TEST_CASE("family B: image formats are read as they are written") {
  for (const auto format :
       {family_b_records::raw_format, family_b_records::jpeg_format, family_b_records::raw_and_jpeg_format}) {
    CAPTURE(format);
    PtpBody body{{Family::b}, some_setup()};
    Host host{body};
    const PropertyDescription told{0xD120, Access::read_write, format, format, {}};
    const auto record = family_b_records::value_record(told);
    const ByteView sent = ByteView{record}.subspan(12);
    CHECK(family_b_records::read_value(0xD120, sent) == format);
    for (std::size_t cut = 0; cut < sent.size(); ++cut) {
      CHECK_FALSE(family_b_records::read_value(0xD120, sent.first(cut)));
    }
    ByteWriter set;
    set.u32(static_cast<std::uint32_t>(8 + sent.size())).u32(0xD120).raw(sent);
    CHECK(host.ask(0x9110, {}, set.take()) == response::ok);
  }
}

TEST_CASE("family B: a set that is cut, or longer than it says, changes nothing") {
  PtpBody body{{Family::b}, some_setup()};
  Host host{body};
  const auto whole = ByteWriter{}.u32(12).u32(0xD103).u32(0x58).take();
  for (std::size_t size = 0; size < whole.size(); ++size) {
    CHECK(host.ask(0x9110, {}, Bytes(whole.begin(), whole.begin() + static_cast<std::ptrdiff_t>(size))) ==
          response::invalid_device_prop_format);
  }
  auto longer = whole;
  longer.push_back(0);
  CHECK(host.ask(0x9110, {}, longer) == response::invalid_device_prop_format);
  CHECK(set_b(host, 0xD103, 0x59) == response::invalid_device_prop_value);
  CHECK(set_b(host, 0xD108, 3) == response::access_denied);
}

namespace {

using Times = std::vector<exposure::Shutter>;

Times times_taken(const PtpBody& body, std::size_t from = 0) {
  Times times;
  for (auto n = from; n < body.taken().size(); ++n) times.push_back(body.taken()[n].exposure.shutter);
  return times;
}

std::uint16_t set_u8(Host& host, std::uint16_t property, std::uint8_t value) {
  return host.ask(operation::set_device_prop_value, {property}, Bytes{value});
}

}  // namespace

// Dump nikon-z6: D0C0 to D0C2, D078, D07A; config.c:3947, 3973, 6304.
TEST_CASE("family A: a bracket is a burst of its own exposures, from the middle or as they rise") {
  PtpBody body{{Family::a}, some_setup()};
  Host host{body};
  CHECK(host.set_u32(0xD100, 1U << 16 | 500) == response::ok);
  CHECK(set_u8(host, 0xD0C0, 1) == response::ok);
  CHECK(set_u8(host, 0xD0C1, 4) == response::ok);  // 2 stops
  CHECK(set_u8(host, 0xD0C2, 4) == response::ok);  // 3 frames
  CHECK(host.set_u16(property::burst_number, 3) == response::ok);
  // In single drive each release takes one of them.
  CHECK(host.ask(0x9207, {0xFFFFFFFF, 0}) == response::ok);
  host.now += 1s;
  CHECK(times_taken(body) == Times{{1, 500}});
  CHECK(host.set_u16(property::still_capture_mode, 2) == response::ok);
  CHECK(host.ask(0x9207, {0xFFFFFFFF, 0}) == response::ok);
  host.now += 2s;
  CHECK(times_taken(body, 1) == Times{{1, 500}, {1, 2000}, {1, 125}});
  CHECK(set_u8(host, 0xD07A, 1) == response::ok);
  CHECK(set_u8(host, 0xD0C2, 5) == response::ok);  // 5 frames
  CHECK(set_u8(host, 0xD0C1, 3) == response::ok);  // 1 stop
  CHECK(host.set_u16(property::burst_number, 5) == response::ok);
  CHECK(host.ask(0x9207, {0xFFFFFFFF, 0}) == response::ok);
  host.now += 2s;
  CHECK(times_taken(body, 4) == Times{{1, 2000}, {1, 1000}, {1, 500}, {1, 250}, {1, 125}});
  CHECK(set_u8(host, 0xD0C0, 0) == response::ok);
  CHECK(host.ask(0x9207, {0xFFFFFFFF, 0}) == response::ok);
  CHECK(times_taken(body, 9) == Times(5, {1, 500}));
}

// Dump canon-eos-r10: D1D9, ten values; config.c:2731. G#438: a bracket while the button is held.
TEST_CASE("family B: a bracket ends by itself, and sooner when its button is let go") {
  PtpBody body{{Family::b}, some_setup()};
  Host host{body};
  const auto hold = [&](Duration span) {
    CHECK(host.ask(0x9128, {3, 0}) == response::ok);
    host.now += span;
    CHECK(host.ask(0x9129, {3}) == response::ok);
    host.now += 1s;
  };
  CHECK(set_b(host, 0xD102, 0x78) == response::ok);  // 1/250, an eighth of a stop each from 1 s at 0x38
  CHECK(set_b(host, 0xD106, 1) == response::ok);
  CHECK(set_b(host, 0xD1D9, 0x10) == response::ok);  // 2 stops
  CHECK(set_b(host, 0xD1D9, 0x77) == response::invalid_device_prop_value);
  host.now += 200ms;
  hold(2s);
  CHECK(times_taken(body) == Times{{1, 250}, {1, 1000}, {1, 60}});
  CHECK(body.taken().back().drive == body::Drive::bracket);
  hold(80ms);
  CHECK(times_taken(body, 3) == Times{{1, 250}});
  CHECK(set_b(host, 0xD1D9, 0) == response::ok);
  hold(80ms);
  CHECK(body.taken().back().drive == body::Drive::continuous);
}

// Dump sony-a7m4: 8321 and its like are values of 5013; config.c:4091.
TEST_CASE("Sony: brackets are drives") {
  PtpBody body{{Family::sony}, some_setup()};
  Host host{body};
  const auto set_drive = [&](std::uint16_t value) {
    return host.ask(0x9205, {property::still_capture_mode}, ByteWriter{}.u16(value).take());
  };
  CHECK(set_drive(0x8321) == response::ok);
  CHECK(set_drive(0x8310) == response::access_denied);  // one by one
  CHECK(set_drive(0x8921) == response::invalid_device_prop_value);
  host.now += 200ms;
  const auto middle = body::find_shipped("mirrorless-20").value().choices.shutters.front();
  for (const auto stroke : {std::uint16_t{2}, std::uint16_t{1}}) {
    CHECK(host.ask(0x9207, {0xD2C2}, ByteWriter{}.u16(stroke).take()) == response::ok);
    host.now += 1s;
  }
  REQUIRE(body.taken().size() == 3);
  CHECK(body.taken().front().exposure.shutter == middle);
  CHECK(body.taken().back().exposure.shutter == exposure::Shutter{1, 2000});
  CHECK(set_drive(1) == response::ok);
  host.now += 200ms;
  CHECK(host.ask(0x9207, {0xD2C2}, ByteWriter{}.u16(2).take()) == response::ok);
  CHECK(body.taken().back().drive == body::Drive::single);
}
