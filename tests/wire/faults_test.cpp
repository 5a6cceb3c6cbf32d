// What a host program sees of each fault through the real library. Its result codes are coarse: the reason
// stands only in the words of its error callback.
#include <doctest/doctest.h>

#include "tests/wire/bodies.h"
#include "tests/wire/host_camera.h"

using namespace noonfall;
using namespace noonfall::tests;

namespace {

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

sim::Fault from_now(sim::Effect effect, std::optional<int> count = {}) {
  sim::Fault fault{utc_now() - std::chrono::seconds{1}, Utc::max(), count, std::move(effect)};
  if (!count) fault.until = fault.from + std::chrono::hours{1};
  return fault;
}

void to_card(HostCamera& camera, const std::string& family) {
  if (family != "generic") camera.settle("capturetarget", "Memory card");
}

}  // namespace

TEST_CASE("a busy release is answered busy, once, and then takes a picture") {
  for (const std::string family : {"generic", "b"}) {
    CAPTURE(family);
    const Usb usb;
    const Body body{usb, family, with_faults(usb, {from_now(sim::BusyReleases{}, 1)})};
    HostCamera camera;
    camera.open_only();
    to_card(camera, family);
    CHECK(camera.trigger() == GP_ERROR_CAMERA_BUSY);
    CHECK(body.taken().empty());
    CHECK(camera.trigger() == GP_OK);
    CHECK(camera.files(1).size() == 1);
  }
}

TEST_CASE("family A: the driver itself repeats a release answered busy") {
  const Usb usb;
  const Body body{usb, "a", with_faults(usb, {from_now(sim::BusyReleases{}, 3)})};
  HostCamera camera;
  camera.open_only();
  to_card(camera, "a");
  CHECK(camera.trigger() == GP_OK);
  CHECK(camera.files(1).size() == 1);
}

TEST_CASE("a refused release says why in words alone") {
  struct Said {
    std::string family;
    std::string words;
  };
  for (const auto& [family, words] :
       {Said{"generic", "PTP Store Full"}, Said{"a", ""}, Said{"b", "0x200c"}}) {
    CAPTURE(family);
    const Usb usb;
    const Body body{usb, family,
                    with_line_faults(usb, "  - {fault: refused, asked: release, code: 0x200C, count: 1}\n")};
    HostCamera camera;
    camera.open_only();
    to_card(camera, family);
    (void)camera.errors();
    CHECK(camera.trigger() == GP_ERROR);
    CHECK(has(camera.errors(), words));
    CHECK(body.taken().empty());
    CHECK(camera.trigger() == GP_OK);
  }
}

TEST_CASE("a full card refuses releases and says that it has no room") {
  const Usb usb;
  const Body body{usb, "generic", with_line_faults(usb, "  - {fault: card full}\n")};
  HostCamera camera;
  camera.open_only();
  CHECK(camera.trigger() == GP_ERROR);
  CHECK(camera.room().kilobytes == 0);
  CHECK(camera.room().pictures == 0);
  CHECK(body.taken().empty());
}

TEST_CASE("a refused setting keeps its old value, and says why in words alone") {
  const Usb usb;
  const Body body{usb, "generic",
                  with_line_faults(usb, "  - {fault: refused, asked: setting, code: 0x200F, count: 1}\n")};
  HostCamera camera;
  camera.open_only();
  (void)camera.errors();
  CHECK(camera.set("iso", "400") == GP_ERROR_BAD_PARAMETERS);
  CHECK(has(camera.errors(), "0x200f"));
  CHECK(camera.value("iso") == "100");
  camera.settle("iso", "400");
}

TEST_CASE("a setting that the body itself refuses keeps its old value") {
  for (const std::string family : {"generic", "a", "b"}) {
    CAPTURE(family);
    const Usb usb;
    const Body body{usb, family,
                    with_faults(usb, {from_now(sim::RefusedSetting{sim::SettingValue{exposure::Iso{400}}})})};
    HostCamera camera;
    camera.open_only();
    CHECK(camera.set("iso", "400") < GP_OK);
    CHECK(camera.value("iso") == "100");
    camera.settle("iso", "800");
  }
}

TEST_CASE("a lost picture is on the card and never announced") {
  for (const std::string family : {"generic", "a", "b"}) {
    CAPTURE(family);
    const Usb usb;
    const Body body{usb, family, with_faults(usb, {from_now(sim::LostFrame{}, 1)})};
    HostCamera camera;
    camera.open_only();
    to_card(camera, family);
    CHECK(camera.trigger() == GP_OK);
    for (const auto& event : camera.events_within(std::chrono::milliseconds{700})) {
      CHECK(event.type != GP_EVENT_FILE_ADDED);
    }
    CHECK(body.taken().size() == 1);
    CHECK(camera.listing().size() == 1);
  }
}

TEST_CASE("a body that falls silent is given up, and goes on when it speaks again") {
  const Usb usb;
  const Impatience impatience;
  const Body body{usb, "generic", with_line_faults(usb, "  - {fault: silence, after: 3 s, for: 2 s}\n")};
  HostCamera camera;
  camera.open_only();
  const auto give_up = std::chrono::steady_clock::now() + patience;
  const auto until = [&](int result) {
    while (camera.room().result != result && std::chrono::steady_clock::now() < give_up) {
    }
    CHECK(camera.room().result == result);
  };
  until(GP_ERROR_IO);
  until(GP_OK);
}

TEST_CASE("a release left without a word still took its picture") {
  const Usb usb;
  const Impatience impatience;
  const Body body{usb, "generic",
                  with_faults(usb, {from_now(sim::LostFrame{sim::LostFrame::Sign::no_word}, 1)})};
  HostCamera camera;
  camera.open_only();
  CHECK(camera.trigger() == GP_ERROR_IO);
  CHECK(body.taken().size() == 1);
  CHECK(camera.trigger() == GP_OK);
}

TEST_CASE("a damaged answer is an error of the line, and the session goes on") {
  for (const std::string how : {"cut", "noise"}) {
    CAPTURE(how);
    const Usb usb;
    const Body body{
        usb, "generic",
        with_line_faults(usb, "  - {fault: damaged answer, how: " + how + ", after: 3 s, count: 1}\n")};
    HostCamera camera;
    camera.open_only();
    const auto give_up = std::chrono::steady_clock::now() + patience;
    int result = GP_OK;
    while (result == GP_OK && std::chrono::steady_clock::now() < give_up) result = camera.room().result;
    CHECK(result < GP_OK);
    CHECK(camera.room().result == GP_OK);
  }
}

TEST_CASE("off M, the shutter time can't be set") {
  for (const std::string family : {"generic", "a"}) {
    CAPTURE(family);
    const Usb usb;
    const Body body{usb, family, with_line_faults(usb, "  - {fault: dial off M}\n")};
    HostCamera camera;
    camera.open_only();
    CHECK(camera.is_read_only("shutterspeed"));
    CHECK(camera.value("expprogram") == "P");
  }
  const Usb usb;
  const Body body{usb, "b", with_line_faults(usb, "  - {fault: dial off M}\n")};
  HostCamera camera;
  camera.open_only();
  CHECK(camera.value("autoexposuremode") == "P");
  CHECK(camera.set("shutterspeed", "1/500") < GP_OK);
}

TEST_CASE("autofocus that finds nothing keeps the shutter shut") {
  for (const std::string family : {"a", "b"}) {
    CAPTURE(family);
    const Usb usb;
    const Body body{usb, family, with_line_faults(usb, "  - {fault: focus fails}\n")};
    HostCamera camera;
    camera.open_only();
    to_card(camera, family);
    // Until it is told, the driver of family A releases without autofocus, whatever it shows.
    if (family == "a") camera.settle("autofocus", "On");
    CHECK(camera.trigger() < GP_OK);
    CHECK(body.taken().empty());
  }
}

TEST_CASE("a low battery is told") {
  struct Low {
    std::string family;
    std::string value;
  };
  for (const auto& [family, value] : {Low{"generic", "5%"}, Low{"a", "5%"}, Low{"b", "Low"}}) {
    CAPTURE(family);
    const Usb usb;
    const Body body{usb, family, with_line_faults(usb, "  - {fault: low battery, charge: 5 %}\n")};
    HostCamera camera;
    camera.open_only();
    CHECK(camera.value("batterylevel") == value);
  }
}
