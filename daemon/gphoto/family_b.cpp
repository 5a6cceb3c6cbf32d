// Family B: the shutter button pressed down and let go. Its small mirrorless and compact bodies say by news
// what the button came to.
#include <algorithm>
#include <array>
#include <cmath>
#include <initializer_list>
#include <utility>

#include <fmt/format.h>

#include "daemon/gphoto/family.h"
#include "lib/base/number.h"

namespace noonfall::gphoto {
namespace {

constexpr const char* button = "eosremoterelease";
constexpr const char* own_bracket = "aeb";
constexpr std::size_t usual_frames = 3;
constexpr std::uint16_t press_operation = 0x9128;
constexpr std::uint16_t release_operation = 0x910F;

/// "+/- 1 1/3" and its like, in stops; 0 for "off".
double step_of(std::string_view label) {
  constexpr std::string_view sign = "+/- ";
  if (!label.starts_with(sign)) return 0;
  label.remove_prefix(sign.size());
  const auto space = label.find(' ');
  double stops = 0;
  for (const auto part : {label.substr(0, space), space == label.npos ? "" : label.substr(space + 1)}) {
    if (part == "1/3") stops += 1.0 / 3;
    if (part == "1/2") stops += 0.5;
    if (part == "2/3") stops += 2.0 / 3;
    stops += static_cast<double>(parse_integer(part).value_or(0));
  }
  return stops;
}

class FamilyB : public Family {
 public:
  FamilyB(About about, Strokes strokes)
      : Family{std::move(about), strokes.press.empty() ? Bursts::none : Bursts::held},
        strokes_{std::move(strokes)} {}
  [[nodiscard]] const char* name() const override { return "b"; }
  [[nodiscard]] std::string why_no_release() const override {
    return has_button() || about().offers(release_operation) ? std::string{} : Family::why_no_release();
  }

  [[nodiscard]] bool settings_are_told() const override { return true; }
  [[nodiscard]] bool has_other_way() const override { return has_button(); }

  /// "aeb" is the step; how many frames there are is in the body's menu, three unless somebody changed it.
  /// They are taken while the button is held.
  Tried<std::optional<BracketInForce>> bracket(Session& session, const OwnBracket& wanted) override {
    const auto steps = session.control(own_bracket);
    if (!steps || wanted.frames != usual_frames || !has_button()) return std::nullopt;
    for (const auto& label : steps->choices) {
      if (std::abs(step_of(label) - wanted.by.value) > 0.1) continue;
      if (auto set = session.set(own_bracket, label); !set) return tl::unexpected{set.error()};
      return BracketInForce{body::Drive::continuous, {{own_bracket, label}}};
    }
    return std::nullopt;
  }
  body::OwnBrackets brackets(Session& session) override {
    body::OwnBrackets all{
        .steps = {}, .frames = {static_cast<int>(usual_frames)}, .widest = {}, .middle_first = true};
    const auto steps = has_button() ? session.control(own_bracket) : Tried<Control>{Control{}};
    for (const auto& label : steps ? steps->choices : std::vector<std::string>{}) {
      if (const auto by = step_of(label); by > 0) all.steps.push_back({by});
    }
    return all;
  }
  Tried<void> no_bracket(Session& session) override { return session.set(own_bracket, "off"); }
  std::optional<std::string> bracket_left_on(Session& session) override {
    const auto step = session.control(own_bracket);
    return step && step_of(step->label) > 0 ? std::optional{step->label} : std::nullopt;
  }

  [[nodiscard]] bool has_bulb() const override { return has_button(); }
  Tried<void> open_bulb(Session& session) override { return session.set(button, strokes_.press); }
  Tried<void> close_bulb(Session& session) override { return session.set(button, strokes_.let_go); }

 protected:
  Tried<void> press(Session& session) override {
    if (!has_button()) return session.trigger();
    auto done = session.set(button, strokes_.press);
    // A stroke that wasn't answered, or with "busy", may be down all the same, and blocks the next one.
    if (!done) (void)let_go(session);
    return done;
  }
  Tried<void> let_go(Session& session) override {
    return has_button() ? insist(*this, button, strokes_.let_go, session) : Tried<void>{};
  }
  [[nodiscard]] bool has_button() const { return !strokes_.press.empty(); }

 private:
  Strokes strokes_;
};

/// As the driver's own trigger does it for bodies of these names: the button with autofocus where it is on,
/// held until news of it comes (library.c of libgphoto2 2.5.30, is_canon_eos_m()).
class FamilyBByWord final : public FamilyB {
 public:
  using FamilyB::FamilyB;

  void hear(std::string_view news) override {
    constexpr std::string_view prefix = "Button ";
    if (!news.starts_with(prefix)) return;
    const auto state = parse_integer(news.substr(prefix.size()));
    constexpr int up = 1;
    constexpr int half_way = 2;
    constexpr int self_timer = 7;
    constexpr int pressed = 4;
    // It is said of a button that was let go, and on some bodies of a press that came to nothing.
    if (state == up && ups_untold_ > 0) {
      --ups_untold_;
      return;
    }
    ups_untold_ = 0;  // told in order, or not at all
    if (!state || *state == half_way || *state == self_timer) return;
    word_ = *state == pressed
                ? Tried<void>{}
                : Tried<void>{tl::unexpected{DriverError{result::unspecific, "Perhaps no focus?"}}};
  }
  [[nodiscard]] std::optional<Tried<void>> word() const override { return word_; }

 private:
  Tried<void> press(Session& session) override {
    word_.reset();
    return FamilyB::press(session);
  }
  Tried<void> let_go(Session& session) override { return count_up(FamilyB::let_go(session)); }
  Tried<void> close_bulb(Session& session) override { return count_up(FamilyB::close_bulb(session)); }

  Tried<void> count_up(Tried<void> sent) {
    ups_untold_ += sent && has_button() ? 1 : 0;
    return sent;
  }

  std::optional<Tried<void>> word_;
  int ups_untold_ = 0;  // times that the button was let go
};

std::string first_offered(const std::vector<std::string>& choices,
                          std::initializer_list<const char*> wanted) {
  for (const auto* want : wanted) {
    if (std::ranges::find(choices, want) != choices.end()) return want;
  }
  return {};
}

/// Names as the driver has them, with or without the maker's before.
bool answers_by_word(std::string_view model) {
  return std::ranges::any_of(
      std::array<std::string_view, 4>{"EOS M", "PowerShot SX", "PowerShot G", "Digital IXUS"},
      [&](std::string_view name) { return model.find(name) != std::string_view::npos; });
}

}  // namespace

Strokes strokes_of(const std::vector<std::string>& choices) {
  Strokes strokes{first_offered(choices, {"Press Full MF", "Press Full", "Press Full AF"}),
                  first_offered(choices, {"Release Full", "Release"})};
  return strokes.press.empty() || strokes.let_go.empty() ? Strokes{} : strokes;
}

std::unique_ptr<Family> family_b(Session& session) {
  const auto& about = session.about();
  const bool has_stroke = about.offers(press_operation);
  if (about.extension != extension::b || (!has_stroke && !about.offers(release_operation))) return nullptr;
  const auto control = has_stroke ? session.control(button) : Tried<Control>{Control{}};
  const auto choices = control ? control->choices : std::vector<std::string>{};
  if (!answers_by_word(about.model)) return std::make_unique<FamilyB>(about, strokes_of(choices));
  Strokes strokes{first_offered(choices, {"Press 3"}), first_offered(choices, {"Release 3"})};
  if (strokes.press.empty() || strokes.let_go.empty()) strokes = strokes_of(choices);
  return std::make_unique<FamilyBByWord>(about, std::move(strokes));
}

}  // namespace noonfall::gphoto
