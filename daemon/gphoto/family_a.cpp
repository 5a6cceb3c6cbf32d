// Family A: its capture operation by number, to the card and without autofocus. It answers at once, where the
// driver's trigger looks for news first and waits for the end of the exposure.
#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "daemon/gphoto/family.h"
#include "daemon/gphoto/settings.h"

namespace noonfall::gphoto {
namespace {

constexpr const char* bulb = "bulb";
constexpr const char* own_bracket = "bracketing";

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

// The driver's labels (config.c of libgphoto2 2.5.30: 3947, 3973).
constexpr std::pair<double, const char*> steps[] = {{1.0 / 3, "1/3 EV"}, {0.5, "1/2 EV"}, {2.0 / 3, "2/3 EV"},
                                                    {1, "1 EV"},         {2, "2 EV"},     {3, "3 EV"}};

std::string step_label(Stops by) {
  for (const auto& [stops, label] : steps) {
    if (std::abs(stops - by.value) < 0.08) return label;
  }
  return {};
}
std::string frames_label(std::size_t frames) {
  if (frames == 3) return "3 images (normal, under and over)";
  const auto each = (frames - 1) / 2;
  return fmt::format("{} images (normal, {} unders and {} overs)", frames, each, each);
}

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

  /// Its frames are those of a burst of as many. Where step and number stand is a matter of the body's own
  /// buttons on many: they are set where they can be. From the middle on, more than three come in an order
  /// that no plan has.
  Tried<std::optional<BracketInForce>> bracket(Session& session, const OwnBracket& wanted) override {
    const auto drive = session.first_of(drive_names);
    const bool bursts_now = drive && drives_of({drive->label}) == drives_of({"Burst"});
    const bool can_burst = bursts() == Bursts::told && drive && (bursts_now || !drive->read_only);
    const auto step = step_label(wanted.by);
    if (!can_burst || step.empty() || (wanted.middle_first && wanted.frames > 3)) return std::nullopt;
    const auto on = session.control(own_bracket);
    if (!on || on->read_only) return std::nullopt;
    if (auto set = session.set(own_bracket, "On"); !set) return tl::unexpected{set.error()};
    struct Part {
      const char* name;
      std::string label;
      bool may_lack;
    };
    for (const auto& [name, label, may_lack] :
         {Part{"bracketset", "AE only", true}, Part{"bracketmode", "Flash/speed", true},
          Part{"bracketorder", wanted.middle_first ? "MTR > Under" : "Under > MTR", false},
          Part{"aebracketingstep", step, false},
          Part{"aebracketingpattern", frames_label(wanted.frames), false}}) {
      if (stands_at(session, name, label, may_lack)) continue;
      if (auto off = no_bracket(session); !off) return tl::unexpected{off.error()};
      return std::nullopt;
    }
    return BracketInForce{};
  }
  body::OwnBrackets brackets(Session& session) override {
    body::OwnBrackets all;
    const auto on = session.control(own_bracket);
    if (bursts() != Bursts::told || !on || on->read_only) return all;
    const auto step = session.control("aebracketingstep");
    const auto frames = session.control("aebracketingpattern");
    const auto offers = [](const Tried<Control>& control, const std::string& label) {
      if (!control || control->read_only) return control && control->label == label;
      return std::ranges::find(control->choices, label) != control->choices.end();
    };
    for (const auto& [stops, label] : steps) {
      if (offers(step, label)) all.steps.push_back({stops});
    }
    for (const std::size_t count : {3, 5, 7, 9}) {
      if (offers(frames, frames_label(count))) all.frames.push_back(static_cast<int>(count));
    }
    return all;
  }
  Tried<void> no_bracket(Session& session) override { return session.set(own_bracket, "Off"); }
  std::optional<std::string> bracket_left_on(Session& session) override {
    const auto on = session.control(own_bracket);
    return on && on->label == "On" ? std::optional{on->label} : std::nullopt;
  }

  [[nodiscard]] bool has_bulb() const override { return has_bulb_; }
  Tried<void> open_bulb(Session& session) override { return session.set(bulb, "1"); }
  /// The driver returns when the body is ready again.
  Tried<void> close_bulb(Session& session) override { return session.set(bulb, "0"); }

 private:
  [[nodiscard]] static bool is_settable(Session& session) {
    const auto shutter = session.first_of(shutter_names);
    return shutter && !shutter->read_only && shutter->choices.size() > 1;
  }

  [[nodiscard]] static bool stands_at(Session& session, const char* name, const std::string& label,
                                      bool may_lack) {
    const auto control = session.control(name);
    if (!control) return may_lack;
    if (control->label == label) return true;
    const bool offered = std::ranges::find(control->choices, label) != control->choices.end();
    return offered && !control->read_only && session.set(name, label).has_value();
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
