// Family A: its capture operation by number, to the card and without autofocus. It answers at once, where the
// driver's trigger looks for news first and waits for the end of the exposure.
#include <algorithm>

#include <fmt/format.h>

#include "daemon/gphoto/family.h"
#include "daemon/gphoto/settings.h"

namespace noonfall::gphoto {
namespace {

constexpr const char* bulb = "bulb";

namespace operation {
enum : std::uint16_t {
  capture_to_memory = 0x90C0,
  change_control = 0x90C2,
  focus_and_capture_to_memory = 0x90CB,
  capture_to_card = 0x9207,
};
}

// The driver's own trigger asks again after these, too (library.c of libgphoto2 2.5.30).
constexpr std::uint16_t invalid_status = 0xA004;
constexpr std::uint16_t mirror_up = 0xA207;

class FamilyA final : public Family {
 public:
  FamilyA(About about, Bursts bursts, bool has_bulb)
      : Family{std::move(about), bursts}, has_bulb_{has_bulb} {}
  [[nodiscard]] const char* name() const override { return "a"; }

  [[nodiscard]] std::string why_no_release() const override {
    using namespace operation;
    for (const auto code : {capture_to_card, capture_to_memory, focus_and_capture_to_memory}) {
      if (about().offers(code)) return {};
    }
    return Family::why_no_release();
  }
  [[nodiscard]] std::string why_no_times() const override {
    return fmt::format("bodies of its newest generation need libgphoto2 2.5.34 (this is {})", about().driver);
  }

  /// The newest generation shows one time in M until the host takes control. An older one has its dial for
  /// that, and would lose it.
  void open_settings(Session& session) override {
    if (controls_ || !about().offers(operation::change_control) || is_settable(session)) return;
    const auto mode = session.control("expprogram");
    if (mode && mode->label == "M") controls_ = session.set("controlmode", "1").has_value();
  }
  void close_settings(Session& session) override {
    if (std::exchange(controls_, false)) (void)session.set("controlmode", "0");
  }

  [[nodiscard]] rig::Answer answer_of(const DriverError& error) const override {
    const auto code = ptp_code(error.text);
    if (code == invalid_status || code == mirror_up) return rig::Answer::busy;
    return Family::answer_of(error);
  }

  [[nodiscard]] bool has_other_way() const override { return about().offers(operation::capture_to_card); }

  [[nodiscard]] bool has_bulb() const override { return has_bulb_; }
  Tried<void> open_bulb(Session& session) override { return session.set(bulb, "1"); }
  /// The driver returns when the body is ready again.
  Tried<void> close_bulb(Session& session) override { return session.set(bulb, "0"); }

 private:
  [[nodiscard]] static bool is_settable(Session& session) {
    const auto shutter = session.first_of(shutter_names);
    return shutter && !shutter->read_only && shutter->choices.size() > 1;
  }

  Tried<void> press(Session& session) override {
    if (!about().offers(operation::capture_to_card)) return session.trigger();
    return operate(session, "0x9207,0xffffffff,0x0");
  }

  bool has_bulb_;
  bool controls_ = false;
};

}  // namespace

std::unique_ptr<Family> family_a(Session& session) {
  if (session.about().extension != extension::a) return nullptr;
  return std::make_unique<FamilyA>(session.about(), told_bursts(session), session.control(bulb).has_value());
}

}  // namespace noonfall::gphoto
