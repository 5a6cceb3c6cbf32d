// What one real body does and another of its family doesn't: what a trait stands for is in
// docs/wired-bodies.md.
#include <algorithm>

#include "sim/wire/usb_line.h"
#include "tests/unit/sim_wire/news.h"

using namespace noonfall;
using namespace noonfall::wire;
using namespace std::chrono_literals;

namespace {

PtpBody body_with(Family family, const std::vector<std::string>& words) {
  return {{family, "A model", "77", with_traits(traits_of(family), words).value()}, some_setup()};
}

DeviceInfo info_of(Host& host) {
  REQUIRE(host.ask(operation::get_device_info) == response::ok);
  return decode_device_info(*host.last.data).value();
}

StorageInfo store_of(Host& host, std::uint32_t id) {
  REQUIRE(host.ask(operation::get_storage_info, {id}) == response::ok);
  return decode_storage_info(*host.last.data).value();
}

std::vector<std::uint32_t> stores_of(Host& host) {
  REQUIRE(host.ask(operation::get_storage_ids) == response::ok);
  ByteReader reader{*host.last.data};
  return read_array<std::uint32_t>(reader);
}

std::string name_of(Host& host, std::uint32_t handle) {
  REQUIRE(host.ask(operation::get_object_info, {handle}) == response::ok);
  return decode_object_info(*host.last.data)->name;
}

std::size_t choices_of(const PropertyDescription& property) {
  return std::get<ValueList>(property.form).size();
}

}  // namespace

TEST_CASE("traits are turned by their names, and what isn't one is told with what is wanted") {
  Traits wanted = traits_of(Family::b);
  wanted.news_after_frame = 40;
  wanted.more_settings = 1;  // what changed can be asked for
  wanted.busy_word = 0xA207;
  wanted.backup_slot = true;
  wanted.maker = "Some=Body";
  CHECK(with_traits(traits_of(Family::b),
                    {"news-after-frame=40", "busy-word=0xA207", "backup-slot", "maker=Some=Body"})
            .value() == wanted);
  const auto wrong = with_traits({}, {"news-after-frame=x", "busy-word=0x10000", "backup-slot=1", "sulks"});
  REQUIRE_FALSE(wrong);
  CHECK(to_text(wrong.error()) == R"(error: unknown trait "news-after-frame=x"
  wanted: a number of up to 65535
error: unknown trait "busy-word=0x10000"
  wanted: a number of up to 65535
error: unknown trait "backup-slot=1"
  wanted: the trait alone
error: unknown trait "sulks"
  wanted: backup-slot, busy-word, button-news, dial-shrinks-lists, direct-times, drive-dial, half-press-stays, hides-buttons, host-buffer, maker, mode-dial, more-settings, needs-control-mode, new-model, news-after-frame, news-at-opening, read-only-store, saves-to, second-card, single-notches
)");
}

TEST_CASE("makers are told by the names the driver looks for, and a new model by its maker's name alone") {
  // library.c:334-363 of libgphoto2 2.5.30: "Canon" and "Nikon" within the manufacturer's name.
  for (const auto& [family, maker, extension] :
       {std::tuple{Family::a, "Nikon Corporation", 0x0AU}, std::tuple{Family::b, "Canon.Inc", 0x0BU}}) {
    auto known = body_with(family, {});
    Host host{known};
    CHECK(info_of(host).manufacturer == maker);
    CHECK(info_of(host).vendor_extension == extension);
    auto unknown = body_with(family, {"new-model"});
    Host other{unknown};
    CHECK(info_of(other).manufacturer == maker);
    CHECK(info_of(other).vendor_extension == 6);
  }
}

TEST_CASE("as many settings and news as a real body has, at opening and during a frame") {
  auto a = body_with(Family::a, {"more-settings=150", "news-at-opening=250", "news-after-frame=40"});
  Host host{a};
  REQUIRE(host.ask(0x90CA) == response::ok);
  CHECK(info_of(host).properties.size() >= 150);
  CHECK(choices_of(host.property(0xDA95)) == 4);
  CHECK(events_of_a(host).size() == 250);
  CHECK(host.ask(0x9207, {0xFFFFFFFF, 0}) == response::ok);
  host.now += 2s;
  const auto told = events_of_a(host);
  const auto changed = std::ranges::count(told, event::device_prop_changed, &Pair::code);
  CHECK(changed == 40);
  CHECK(std::ranges::count(told, event::object_added, &Pair::code) == 1);

  auto b = body_with(Family::b, {"more-settings=100", "news-at-opening=250", "news-after-frame=40"});
  Host other{b};
  CHECK(other.ask(0x9115, {1}) == response::ok);
  const auto values = kinds(records_of_b(other));
  CHECK(std::ranges::count(values, 0xC189U) == 13 + 100 + 250);
  CHECK(other.ask(0x9128, {3, 0}) == response::ok);
  other.now += 2s;
  const auto during = kinds(records_of_b(other));
  CHECK(std::ranges::count(during, 0xC189U) == 40);
}

TEST_CASE("a generic body's news come by the interrupt pipe, as many as it has") {
  auto body = body_with(Family::generic, {"news-at-opening=3", "news-after-frame=5"});
  Host host{body};
  CHECK(host.events(0s).size() == 3);
  CHECK(host.ask(operation::initiate_capture) == response::ok);
  CHECK(host.events(2s).size() == 5 + 2);
}

TEST_CASE("a full press answered busy leaves the button half down, and nothing goes until it is let go") {
  auto body = body_with(Family::b, {"half-press-stays"});
  Host host{body};
  CHECK(host.ask(0x9128, {3, 0}) == response::ok);
  CHECK(host.ask(0x9129, {3}) == response::ok);
  CHECK(host.ask(0x9128, {3, 0}) == response::device_busy);
  host.now += 5s;
  CHECK(host.ask(0x9128, {3, 0}) == response::device_busy);
  CHECK(host.ask(0x9129, {2}) == response::ok);  // the full stroke alone
  CHECK(host.ask(0x9128, {3, 0}) == response::device_busy);
  CHECK(host.ask(0x9129, {3}) == response::ok);
  CHECK(host.ask(0x9128, {3, 0}) == response::ok);
  CHECK(body.taken().size() == 2);
}

TEST_CASE("family A: a release that comes too early is answered by the body's own word for busy") {
  for (const auto& [word, code] : {std::pair{"0xA004", 0xA004}, {"0xA207", 0xA207}, {"0x2019", 0x2019}}) {
    auto body = body_with(Family::a, {std::string{"busy-word="} + word});
    Host host{body};
    CHECK(host.ask(0x9207, {0xFFFFFFFF, 0}) == response::ok);
    CHECK(host.ask(0x9207, {0xFFFFFFFF, 0}) == code);
    host.now += 1s;
    CHECK(host.ask(0x9207, {0xFFFFFFFF, 0}) == response::ok);
  }
}

TEST_CASE("family A, newest generation: the shutter time opens by the control mode") {
  // Dumps nikon-z9 and nikon-zf, both at M: 500D read-only with one choice, no D100.
  auto body = body_with(Family::a, {"needs-control-mode"});
  Host host{body};
  CHECK(host.ask(0x90CA) == response::operation_not_supported);
  CHECK(std::ranges::count(info_of(host).operations, 0x90CA) == 0);
  CHECK(choices_of(host.property(property::exposure_time)) == 1);
  CHECK(host.property(property::exposure_time).access == Access::read_only);
  CHECK(host.set_u32(property::exposure_time, 20) == response::access_denied);
  CHECK(host.ask(0x90C2, {1}) == response::ok);
  CHECK(choices_of(host.property(property::exposure_time)) > 40);
  CHECK(host.set_u32(property::exposure_time, 20) == response::ok);
}

TEST_CASE("the dial away from M: the list of times is as it was, or shrinks to the present one") {
  LineFault off;
  off.effect = ModeOffManual{};
  for (const auto family : {Family::generic, Family::a}) {
    for (const auto& [words, count] :
         {std::pair{std::vector<std::string>{"dial-shrinks-lists"}, 1}, {std::vector<std::string>{}, 10}}) {
      PtpBody body{
          {family, "A model", "77", with_traits(traits_of(family), words).value()}, some_setup(), {off}};
      Host host{body};
      const auto time = host.property(property::exposure_time);
      CHECK(time.access == Access::read_only);
      if (count == 1)
        CHECK(choices_of(time) == 1);
      else
        CHECK(choices_of(time) > 10);
    }
  }
}

TEST_CASE("dials: drive and mode can't be set") {
  // Dump nikon-d850: 5013 read-only; dump nikon-zf: 500E read-only.
  auto body = body_with(Family::a, {"drive-dial", "mode-dial"});
  Host host{body};
  CHECK(host.property(property::still_capture_mode).access == Access::read_only);
  CHECK(host.property(property::exposure_program_mode).access == Access::read_only);
  auto other = body_with(Family::a, {});
  Host free{other};
  CHECK(free.property(property::still_capture_mode).access == Access::read_write);
}

TEST_CASE("stores: one or two, read-only but for deletion, the second empty or with the same pictures") {
  auto one = body_with(Family::a, {"read-only-store"});
  Host host{one};
  CHECK(stores_of(host) == std::vector{card_storage});
  CHECK(store_of(host, card_storage).access == 2);  // ISO 15740: "read-only with object deletion"

  auto two = body_with(Family::a, {"second-card"});
  Host other{two};
  CHECK(stores_of(other) == std::vector{card_storage, second_storage});
  CHECK(store_of(other, second_storage).access == 0);
  CHECK(other.ask(0x9207, {0xFFFFFFFF, 0}) == response::ok);
  other.now += 2s;
  CHECK(events_of_a(other).size() == 2);
  CHECK(other.ask(operation::get_num_objects, {second_storage, 0, 0}) == response::ok);
  CHECK(other.last.parameters == std::vector<std::uint32_t>{0});

  auto backup = body_with(Family::a, {"backup-slot"});
  Host twice{backup};
  CHECK(twice.ask(0x9207, {0xFFFFFFFF, 0}) == response::ok);
  twice.now += 2s;
  const auto told = events_of_a(twice);
  REQUIRE(told.size() == 3);
  CHECK(told[0].value != told[1].value);
  CHECK(name_of(twice, told[0].value) == name_of(twice, told[1].value));
  CHECK(backup.taken().size() == 1);
}

TEST_CASE("slow answers: what is asked is done at once, of one operation or each, as often as said") {
  LineFault slow;
  slow.effect = SlowAnswers{8s, 0x9207};
  slow.count = 1;
  PtpBody body{{Family::a}, some_setup(), {slow}};
  Host host{body};
  const auto asked = host.now;
  CHECK(host.ask(0x9207, {0xFFFFFFFF, 0}) == response::ok);
  CHECK(host.now == asked + transaction_time + 8s);
  CHECK(body.taken().front().opened < asked + 1s);
  CHECK(host.ask(0x9207, {0xFFFFFFFF, 0}) == response::ok);
  CHECK(host.now == asked + 2 * transaction_time + 8s);
}

TEST_CASE("late data: one packet comes in time and the rest later, in the same container") {
  LineFault late;
  late.effect = SlowAnswers{5s, operation::get_object_handles, SlowAnswers::Late::data};
  auto setup = some_setup();
  setup.taken_before = 300;
  PtpBody body{{Family::generic}, setup, {late}};
  UsbLine line{body};
  line.write(encode(container(ContainerType::command, operation::open_session, 0, {1})), noon);
  (void)line.read(512, noon + transaction_time);
  const auto asked = noon + 1s;
  line.write(encode(container(ContainerType::command, operation::get_object_handles, 1, {every, 0, 0})),
             asked);
  auto whole = line.read(1 << 20, asked + transaction_time).value();
  CHECK(whole.size() == usb_packet);
  CHECK_FALSE(line.read(1 << 20, asked + 4s));
  const auto rest = line.read(1 << 20, asked + 5s + transaction_time).value();
  whole.insert(whole.end(), rest.begin(), rest.end());
  CHECK(stated_length(whole) == whole.size());
  CHECK(line.read(512, asked + 5s + transaction_time));
}

TEST_CASE("false words: lists of ten thousand choices, names that move the cursor, news without an end") {
  const auto told = [](FalseWords::About about) {
    LineFault lie;
    lie.effect = FalseWords{about};
    return PtpBody{{Family::generic}, some_setup(), {lie}};
  };
  auto many = told(FalseWords::About::many_choices);
  Host host{many};
  CHECK(choices_of(host.property(property::exposure_index)) > 10'000);
  auto names = told(FalseWords::About::names);
  Host other{names};
  CHECK(info_of(other).model.starts_with("\x1b[2J"));
  CHECK(other.ask(operation::initiate_capture) == response::ok);
  CHECK(name_of(other, parameters(other.events(2s).front()).at(0)).starts_with("\x1b[2J"));
  auto news = told(FalseWords::About::news);
  Host third{news};
  for (int n = 0; n < 100; ++n) CHECK(third.events(1ms).size() == 1);
}
