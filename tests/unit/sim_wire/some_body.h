// A body for tests, and the questions of a host, in virtual time.
#pragma once

#include <vector>

#include <doctest/doctest.h>

#include "lib/body/shipped.h"
#include "sim/wire/ptp_body.h"
#include "sim/wire/ptp_codes.h"
#include "tests/unit/sim_wire/ptp_decoding.h"

namespace noonfall::wire {

inline constexpr Utc noon{std::chrono::sys_days{std::chrono::year{2027} / 8 / 2} + std::chrono::hours{12}};

inline sim::BodySetup some_setup() {
  sim::BodySetup setup;
  setup.profile = body::find_shipped("mirrorless-20").value();
  return setup;
}

/// Asks one thing after the other, each when the one before is answered.
class Host {
 public:
  explicit Host(PtpBody& body, Utc start = noon) : now{start}, body_{body} {
    CHECK(ask(operation::open_session, {1}) == response::ok);
  }

  std::uint16_t ask(std::uint16_t code, std::vector<std::uint32_t> parameters = {}, Bytes data = {}) {
    last = body_.answer({code, std::move(parameters), std::move(data)}, now);
    if (last.at != Utc::max()) now = last.at;
    return last.response;
  }
  std::uint16_t set_u16(std::uint16_t property, std::uint16_t value) {
    return ask(operation::set_device_prop_value, {property}, ByteWriter{}.u16(value).take());
  }
  std::uint16_t set_u32(std::uint16_t property, std::uint32_t value) {
    return ask(operation::set_device_prop_value, {property}, ByteWriter{}.u32(value).take());
  }
  PropertyDescription property(std::uint16_t code) {
    REQUIRE(ask(operation::get_device_prop_desc, {code}) == response::ok);
    return decode_property_description(*last.data).value();
  }
  /// Everything that comes by the interrupt pipe within a span; it has passed then.
  std::vector<Container> events(Duration span) {
    now += span;
    std::vector<Container> all;
    while (auto event = body_.event(now)) all.push_back(std::move(*event));
    return all;
  }

  Utc now;
  Reply last;

 private:
  PtpBody& body_;
};

}  // namespace noonfall::wire
