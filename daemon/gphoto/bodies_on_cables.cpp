#include "daemon/gphoto/bodies_on_cables.h"

#include <chrono>
#include <thread>
#include <utility>

#include "daemon/gphoto/body_search.h"
#include "daemon/gphoto/body_setup.h"
#include "daemon/gphoto/dial.h"
#include "daemon/gphoto/plain_camera.h"
#include "daemon/gphoto/sheet.h"
#include "daemon/posix/boot_time.h"

namespace noonfall::gphoto {
namespace {

/// UTC that doesn't jump while a body is measured.
class SteadyUtc {
 public:
  [[nodiscard]] Utc now() const { return begun_ + (posix::boot_now() - boot_); }

 private:
  BootTime boot_ = posix::boot_now();
  Utc begun_ = std::chrono::floor<std::chrono::microseconds>(std::chrono::system_clock::now());
};

template <class T>
ports::Chosen chosen(const std::optional<Control>& control, Reader<T> read, T wanted) {
  const auto choices = control ? choices_of(control->choices, read) : std::vector<Choice<T>>{};
  const auto* choice = nearest_choice(choices, wanted);
  const bool near = choice != nullptr && as_named(choice->value, wanted) == wanted;
  return {to_text(wanted), near ? choice->label : std::string{}};
}

class CabledBody final : public cameras::BodyAtHand, public ports::Inspection {
 public:
  explicit CabledBody(OpenedBody opened)
      : opened_{std::move(opened)},
        camera_{opened_.session, [this] { return clock_.now(); }},
        shutter_{opened_.session.first_of({"shutterspeed2", "shutterspeed"})},
        aperture_{opened_.session.first_of({"f-number", "aperture"})},
        iso_{opened_.session.first_of({"iso"})} {}

  ports::Camera& camera() override { return camera_; }
  ports::Inspection& inspection() override { return *this; }
  Utc now() override { return clock_.now(); }
  void wait_until(Utc instant) override {
    if (const auto left = instant - clock_.now(); left > Duration{}) std::this_thread::sleep_for(left);
  }

  Result<body::BodySheet> sheet() override {
    return read_sheet(opened_.session, opened_.where, clock_.now());
  }

  std::optional<Megabytes> file_size(const std::string& name) override {
    const auto bytes = opened_.session.file_bytes(name);
    if (!bytes || *bytes == 0) return std::nullopt;
    return Megabytes{static_cast<double>(*bytes) / 1e6};
  }

  std::vector<Utc> announcements() override { return camera_.announcements(); }

  std::vector<ports::Chosen> choices_for(const exposure::Exposure& exposure) override {
    std::vector<ports::Chosen> list{chosen<exposure::Shutter>(shutter_, shutter_of, exposure.shutter)};
    if (exposure.aperture && aperture_)
      list.push_back(chosen<exposure::FNumber>(aperture_, f_number_of, *exposure.aperture));
    list.push_back(chosen<exposure::Iso>(iso_, iso_of, exposure.iso));
    return list;
  }

 private:
  SteadyUtc clock_;
  OpenedBody opened_;
  PlainCamera camera_;
  std::optional<Control> shutter_;
  std::optional<Control> aperture_;
  std::optional<Control> iso_;
};

Diagnostic no_search(const DriverError& error) {
  return error_at({}, "no-search", "the cables can't be searched: " + words_of(error),
                  "libgphoto2 with its port drivers installed (libgphoto2-port12)");
}

class Cables final : public cameras::BodySource {
 public:
  Result<cameras::Found> find() override {
    const auto there = library_.detect();
    if (!there) return fail(no_search(there.error()));
    cameras::Found found;
    for (const auto& each : *there) look_at(each, found);
    return found;
  }

  Result<std::unique_ptr<cameras::BodyAtHand>> open(const std::string& serial) override {
    auto opened = find_body(library_, serial);
    if (!opened)
      return fail(error_at({}, "no-body", opened.error().why, "a number that noonfall cameras shows"));
    if (const auto why = point_to_card(opened->session))
      return fail(error_at({}, "saved-elsewhere", *why, "a card in the body"));
    return std::make_unique<CabledBody>(std::move(*opened));
  }

 private:
  void look_at(const Found& where, cameras::Found& found) {
    auto session = Session::open(library_, where);
    if (session) {
      found.bodies.push_back(read_sheet(*session, where, clock_.now()));
      return;
    }
    const bool held = session.error().code == result::claimed_elsewhere;
    found.unopened.push_back({where.path, where.model, words_of(session.error()), held});
  }

  Library library_;
  SteadyUtc clock_;
};

}  // namespace

std::unique_ptr<cameras::BodySource> bodies_on_cables() {
  return std::make_unique<Cables>();
}

}  // namespace noonfall::gphoto
