#include <doctest/doctest.h>

#include "sim/wire/line_fault_script.h"
#include "tests/unit/sim_wire/some_body.h"

using namespace noonfall;
using namespace noonfall::wire;
using namespace std::chrono_literals;

namespace {

PtpBody body_with(LineEffect effect, Utc from = Utc::min(), Utc until = Utc::max(),
                  std::optional<int> count = {}) {
  return {{Family::generic}, some_setup(), {{from, until, count, std::move(effect)}}};
}

Reply get_ids(PtpBody& body, Utc now) {
  return body.answer({operation::get_storage_ids, {}, {}}, now);
}

}  // namespace

TEST_CASE("late news come that much later") {
  auto body = body_with(LateNews{3s});
  Host host{body};
  CHECK(host.ask(operation::initiate_capture) == response::ok);
  CHECK(host.events(3s).empty());
  CHECK(host.events(1s).size() == 2);
}

TEST_CASE("slow settings take that much longer") {
  auto body = body_with(SlowSettings{2s});
  Host host{body};
  const auto before = host.now;
  CHECK(host.set_u16(property::f_number, 800) == response::ok);
  CHECK(host.now - before == 2080ms);
}

TEST_CASE("what is asked of a silent body is answered when it speaks again") {
  auto body = body_with(Silence{}, noon + 10s, noon + 15s);
  Host host{body};
  CHECK(get_ids(body, noon + 9s).at < noon + 10s);
  CHECK(get_ids(body, noon + 11s).at == noon + 15s);
  CHECK(get_ids(body, noon + 15s).at < noon + 16s);
}

TEST_CASE("a body silent for good answers never, and tells nothing") {
  auto body = body_with(Silence{}, noon + 1s);
  Host host{body};
  CHECK(host.ask(operation::initiate_capture) == response::ok);
  CHECK(host.events(5s).empty());
  CHECK(get_ids(body, noon + 8s).at == Utc::max());
}

TEST_CASE("refusals are used up one by one, each for what it is meant") {
  auto body = body_with(Refused{Asked::release, 0xA002}, Utc::min(), Utc::max(), 2);
  Host host{body};
  CHECK(host.set_u16(property::exposure_index, 400) == response::ok);
  CHECK(host.ask(operation::initiate_capture) == 0xA002);
  CHECK(host.ask(operation::initiate_capture) == 0xA002);
  CHECK(body.taken().empty());
  CHECK(host.ask(operation::initiate_capture) == response::ok);
}

TEST_CASE("every kind of fault is read from a script, with its time") {
  const auto faults = parse_line_faults(R"(noonfall_line_faults: 1
faults:
  - {fault: refused, asked: setting, code: 0x200F, count: 2}
  - {fault: late news, by: 3 s, after: 2 s, for: 5 s}
  - {fault: slow settings, by: 500 ms}
  - {fault: silence, from: "2027-08-02T12:00:10Z", for: 1 s}
  - {fault: damaged answer, how: noise, count: 1}
  - {fault: damaged answer, how: bytes, seed: 7, for: 1 s}
  - {fault: other serial, serial: "77"}
  - {fault: dial off M}
  - {fault: focus fails}
  - {fault: low battery, charge: 7 %}
  - {fault: card full}
  - {fault: slow answers, by: 5600 ms, operation: 0x9116, count: 1}
  - {fault: slow answers, by: 1 s, late: data}
  - {fault: false words, about: many choices}
)",
                                        noon);
  REQUIRE(faults);
  const auto ever = Utc::max();
  CHECK(*faults == std::vector<LineFault>{{noon, ever, 2, Refused{Asked::setting, 0x200F}},
                                          {noon + 2s, noon + 7s, {}, LateNews{3s}},
                                          {noon, ever, {}, SlowSettings{500ms}},
                                          {noon + 10s, noon + 11s, {}, Silence{}},
                                          {noon, ever, 1, Damaged{Damaged::How::noise}},
                                          {noon, noon + 1s, {}, Damaged{Damaged::How::bytes, 7}},
                                          {noon, ever, {}, OtherSerial{"77"}},
                                          {noon, ever, {}, ModeOffManual{}},
                                          {noon, ever, {}, FocusFails{}},
                                          {noon, ever, {}, LowBattery{7}},
                                          {noon, ever, {}, CardFull{}},
                                          {noon, ever, 1, SlowAnswers{5600ms, 0x9116}},
                                          {noon, ever, {}, SlowAnswers{1s, {}, SlowAnswers::Late::data}},
                                          {noon, ever, {}, FalseWords{FalseWords::About::many_choices}}});
}

TEST_CASE("each mistake in a script is told, with its place and what is wanted") {
  const auto faults = parse_line_faults(R"(noonfall_line_faults: 1
faults:
  - {fault: refused, asked: release, code: 2019}
  - {fault: silence, from: noon, count: 2}
  - {fault: late news}
  - {fault: sulking}
  - {fault: card full, from: "2027-08-02T12:00:10Z", after: 1 s}
)",
                                        noon);
  REQUIRE_FALSE(faults);
  CHECK(to_text(faults.error()) == R"(:3:44: error: code: "2019" is a bare number
  wanted: a response code like 0x2019
:4:28: error: from: "noon" isn't understood
  wanted: an instant like 2027-08-02T08:45:00Z
:4:34: error: a fault has no key "count"
  wanted: one of fault, from, after, for
:5:5: error: a fault has no "by"
  wanted: the key "by"
:6:13: error: fault: "sulking" isn't known
  wanted: one of refused, late news, slow settings, slow answers, silence, damaged answer, other serial, dial off M, focus fails, low battery, card full, false words
:7:61: error: after: `from` stands here too
  wanted: either `from` or `after`
)");
}
