#include "tests/unit/sim_wire/some_body.h"

using namespace noonfall;
using namespace noonfall::wire;
using namespace std::chrono_literals;

namespace {

std::vector<std::uint32_t> handles(Host& host, std::uint32_t parent) {
  REQUIRE(host.ask(operation::get_object_handles, {every, 0, parent}) == response::ok);
  ByteReader reader{*host.last.data};
  return read_array<std::uint32_t>(reader);
}

}  // namespace

TEST_CASE("a body says what it is before any session, and does nothing else") {
  PtpBody body{{Family::generic, "N 20", "77"}, some_setup()};
  const auto said = body.answer({operation::get_device_info, {}, {}}, noon);
  REQUIRE(said.response == response::ok);
  const auto info = decode_device_info(*said.data);
  REQUIRE(info);
  CHECK(info->model == "N 20");
  CHECK(info->serial == "77");
  CHECK(body.answer({operation::get_storage_ids, {}, {}}, noon).response == response::session_not_open);
}

TEST_CASE("every operation and property that a body claims is one it has") {
  for (const auto family : {Family::generic, Family::a, Family::b}) {
    PtpBody body{{family}, some_setup()};
    Host host{body};
    REQUIRE(host.ask(operation::get_device_info) == response::ok);
    const auto info = decode_device_info(*host.last.data).value();
    for (const auto code : info.operations) {
      CAPTURE(code);
      if (code == operation::close_session) continue;  // leaves nothing to ask
      CHECK(host.ask(code) != response::operation_not_supported);
    }
    for (const auto code : info.properties) CHECK(host.property(code).code == code);
    CHECK(host.ask(0x9FFF) == response::operation_not_supported);
    CHECK(host.ask(operation::get_device_prop_desc, {0x5FFF}) == response::device_prop_not_supported);
  }
}

TEST_CASE("a setting takes the profile's time and is then read back") {
  PtpBody body{{Family::generic}, some_setup()};
  Host host{body};
  const auto before = host.now;
  CHECK(host.set_u16(property::f_number, 800) == response::ok);
  CHECK(host.now - before == 80ms);
  CHECK(host.property(property::f_number).current == Value{std::uint16_t{800}});
}

TEST_CASE("a value that isn't offered, of the wrong size, or for what can't be set is refused") {
  PtpBody body{{Family::generic}, some_setup()};
  Host host{body};
  CHECK(host.set_u16(property::f_number, 801) == response::invalid_device_prop_value);
  CHECK(host.set_u32(property::f_number, 800) == response::invalid_device_prop_format);
  CHECK(host.set_u16(property::focus_mode, 2) == response::access_denied);
}

TEST_CASE("a picture is announced, with its end, when the card has it, and lies where cards keep pictures") {
  PtpBody body{{Family::generic}, some_setup()};
  Host host{body};
  CHECK(handles(host, 0).empty());
  CHECK(host.ask(operation::initiate_capture) == response::ok);
  CHECK(host.ask(operation::initiate_capture) == response::device_busy);
  const auto events = host.events(1s);
  REQUIRE(events.size() == 2);
  CHECK(events[0].code == event::object_added);
  CHECK(events[1].code == event::capture_complete);
  const auto picture = parameters(events[0]).at(0);
  REQUIRE(host.ask(operation::get_object_info, {picture}) == response::ok);
  const auto info = decode_object_info(*host.last.data).value();
  CHECK(info.name == "NOON0001.RAW");
  CHECK(info.size == 25'000'000);
  CHECK(info.captured == "20270802T120000");
  // DCIM at the root, one folder in it, one picture in that.
  const auto root = handles(host, every);
  REQUIRE(root.size() == 1);
  CHECK(handles(host, root[0]).size() == 1);
  CHECK(handles(host, info.parent) == std::vector<std::uint32_t>{picture});
  CHECK(handles(host, 0).size() == 3);
}

TEST_CASE("a file's part is what the whole has there, and nothing lies past its end") {
  PtpBody body{{Family::generic}, some_setup()};
  Host host{body};
  CHECK(host.ask(operation::initiate_capture) == response::ok);
  const auto picture = parameters(host.events(1s).at(0)).at(0);
  REQUIRE(host.ask(operation::get_object, {picture}) == response::ok);
  const auto whole = *host.last.data;
  CHECK(whole.size() == 25'000'000);
  REQUIRE(host.ask(operation::get_partial_object, {picture, 9, 20}) == response::ok);
  CHECK(*host.last.data == Bytes(whole.begin() + 9, whole.begin() + 29));
  CHECK(host.last.parameters == std::vector<std::uint32_t>{20});
  REQUIRE(host.ask(operation::get_partial_object, {picture, 24'999'999, 20}) == response::ok);
  CHECK(host.last.data->size() == 1);
  REQUIRE(host.ask(operation::get_partial_object, {picture, 0xFFFFFFFF, 20}) == response::ok);
  CHECK(host.last.data->empty());
}

TEST_CASE("a full buffer makes a release busy until the card has taken enough") {
  auto setup = some_setup();
  setup.profile.buffer = {60};
  setup.profile.write_rate = {10};  // 2.5 s a frame
  PtpBody body{{Family::generic}, setup};
  Host host{body};
  for (int n = 0; n < 2; ++n) {
    CHECK(host.ask(operation::initiate_capture) == response::ok);
    host.now += 500ms;
  }
  CHECK(host.ask(operation::initiate_capture) == response::device_busy);
  host.now += 2s;
  CHECK(host.ask(operation::initiate_capture) == response::ok);
}

TEST_CASE("a card without room refuses a release") {
  auto setup = some_setup();
  setup.profile.card = {25};
  PtpBody body{{Family::generic}, setup};
  Host host{body};
  CHECK(host.ask(operation::initiate_capture) == response::ok);
  host.now += 1s;
  CHECK(host.ask(operation::initiate_capture) == response::store_full);
}

TEST_CASE("pictures of a run before lie on the card") {
  auto setup = some_setup();
  setup.taken_before = 3;
  PtpBody body{{Family::generic}, setup};
  Host host{body};
  CHECK(handles(host, 0).size() == 2 + 3);
  REQUIRE(host.ask(operation::get_storage_info, {card_storage}) == response::ok);
  CHECK(decode_storage_info(*host.last.data)->free_images == 5120 - 3);
}

TEST_CASE("the body's clock is its own: set off UTC it stays off by that much") {
  PtpBody body{{Family::generic}, some_setup()};
  Host host{body};
  CHECK(host.property(property::date_time).current == Value{std::string{"20270802T120000"}});
  CHECK(host.ask(operation::set_device_prop_value, {property::date_time},
                 ByteWriter{}.text("20270802T130000").take()) == response::ok);
  host.now += 10s;
  CHECK(host.property(property::date_time).current == Value{std::string{"20270802T130010"}});
  CHECK(host.ask(operation::set_device_prop_value, {property::date_time},
                 ByteWriter{}.text("tomorrow").take()) == response::access_denied);
}

TEST_CASE(
    "a body that went is not there, and comes back at the next place without a session, as powered on") {
  auto setup = some_setup();
  setup.faults = {{noon + 10s, noon + 12s, {}, sim::BodyGone{}}};
  PtpBody body{{Family::generic}, setup};
  Host host{body};
  CHECK(host.set_u16(property::exposure_index, 400) == response::ok);
  CHECK(body.presence(noon + 9s) == Presence{true, 0});
  CHECK(body.presence(noon + 10s) == Presence{false, 0});
  CHECK(body.presence(noon + 12s) == Presence{true, 1});
  host.now = noon + 13s;
  CHECK(host.ask(operation::get_storage_ids) == response::session_not_open);
  Host again{body, noon + 14s};
  CHECK(again.now > noon + 15s);  // opening takes 1.5 s
  CHECK(again.property(property::exposure_index).current == Value{std::uint16_t{100}});
}

TEST_CASE("a body that draws has small pictures of what it took, any other has none") {
  PtpBody body{{Family::generic}, some_setup()};
  Host host{body};
  CHECK(host.ask(operation::initiate_capture) == response::ok);
  const auto picture = parameters(host.events(1s).at(0)).at(0);
  const auto folder = handles(host, every).at(0);
  CHECK(host.ask(operation::get_thumb, {picture}) == response::no_thumbnail_present);
  body.draw_by([](const sim::RecordedFrame& frame) { return "drawn of " + frame.files.at(0); });
  REQUIRE(host.ask(operation::get_thumb, {picture}) == response::ok);
  const std::string drawn = "drawn of DCIM/100NOONF/NOON0001.RAW";
  CHECK(*host.last.data == Bytes(drawn.begin(), drawn.end()));
  CHECK(host.ask(operation::get_thumb, {folder}) == response::no_thumbnail_present);
  // Hosts don't ask for one that is said to be empty.
  REQUIRE(host.ask(operation::get_object_info, {picture}) == response::ok);
  CHECK(decode_object_info(*host.last.data)->thumb_size > 0);
}
