// Sony's bodies: a button held down by a control of its own, pictures to the card by a property that the
// driver's own setting doesn't reach.
#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "daemon/gphoto/family.h"

namespace noonfall::gphoto {
namespace {

constexpr const char* button = "capture";
constexpr std::uint16_t control_operation = 0x9207;  // of this extension

constexpr const char* drive = "capturemode";
constexpr const char* target = "d222";
constexpr std::string_view to_card = "16";
constexpr std::string_view to_both = "17";

std::string bracket_label(Stops by, int frames) {
  return fmt::format("Bracketing C {:.1f} Steps {} Pictures", by.value, frames);
}

class FamilySony final : public Family {
 public:
  FamilySony(About about, bool has_button)
      : Family{std::move(about), has_button ? Bursts::held : Bursts::none}, has_button_{has_button} {}
  [[nodiscard]] const char* name() const override { return "sony"; }
  [[nodiscard]] std::string why_no_release() const override {
    return about().offers(control_operation) ? std::string{} : Family::why_no_release();
  }

  /// libgphoto2 2.5.30 sends an empty value for its own "capturetarget" of this family.
  std::optional<std::string> point_to_card(Session& session) override {
    const auto offered = session.control(target);
    if (!offered) return fmt::format("{}: it doesn't tell where they go", lost_words);
    const auto offers = [&](std::string_view label) {
      return std::ranges::find(offered->choices, label) != offered->choices.end();
    };
    for (const auto label : {to_card, to_both}) {
      if (offered->label != label && !offers(label)) continue;
      if (label != offered->label && set_or_say(session, target, std::string{label}, lost_words)) continue;
      goes_ = label == to_card ? Destination::card : Destination::both;
      return std::nullopt;
    }
    goes_ = Destination::host;
    return fmt::format(
        "pictures go to this computer alone, whole, and slow the shooting: set \"save destination\" in the "
        "body's menu to the camera");
  }
  [[nodiscard]] std::optional<body::SavedTo> saved_to(Session& session) const override {
    const auto offered = session.control(target);
    if (!offered) return std::nullopt;
    const bool card = std::ranges::any_of(std::array{to_card, to_both}, [&](std::string_view label) {
      return offered->label == label || std::ranges::find(offered->choices, label) != offered->choices.end();
    });
    return card ? body::SavedTo::card : body::SavedTo::memory;
  }
  /// One of its drives, while the button is held.
  Tried<std::optional<BracketInForce>> bracket(Session& session, const OwnBracket& wanted) override {
    const auto drives = session.control(drive);
    const auto label = bracket_label(wanted.by, static_cast<int>(wanted.frames));
    const bool has =
        drives && !drives->read_only && std::ranges::find(drives->choices, label) != drives->choices.end();
    if (!has || !has_button_) return std::nullopt;
    if (auto set = session.set(drive, label); !set) return tl::unexpected{set.error()};
    return BracketInForce{body::Drive::bracket, {{drive, label}}};
  }
  body::OwnBrackets brackets(Session& session) override {
    body::OwnBrackets all{.steps = {}, .frames = {}, .widest = {}, .middle_first = true};
    const auto drives = session.control(drive);
    if (!drives || drives->read_only || !has_button_) return all;
    for (const double by : {1.0 / 3, 0.5, 2.0 / 3, 1.0, 2.0, 3.0}) {
      for (const int frames : {3, 5, 9}) {
        if (std::ranges::count(drives->choices, bracket_label({by}, frames)) == 0) continue;
        if (std::ranges::count(all.steps, Stops{by}) == 0) all.steps.push_back({by});
        if (std::ranges::count(all.frames, frames) == 0) all.frames.push_back(frames);
      }
    }
    std::ranges::sort(all.frames);
    return all;
  }
  Tried<void> no_bracket(Session& session) override {
    const auto drives = session.control(drive);
    if (!drives) return tl::unexpected{drives.error()};
    const auto choices = drives_of(drives->choices);
    const auto* single = nearest_choice(choices, body::Drive::single);
    return single == nullptr ? Tried<void>{} : session.set(drive, single->label);
  }
  std::optional<std::string> bracket_left_on(Session& session) override {
    const auto drives = session.control(drive);
    const bool on = drives && drives->label.starts_with("Bracketing");
    return on ? std::optional{drives->label} : std::nullopt;
  }
  [[nodiscard]] bool tells_of_stores() const override { return false; }

  [[nodiscard]] bool is_silent() const override { return goes_ == Destination::card; }
  [[nodiscard]] bool has_heavy_news() const override { return goes_ != Destination::card; }

 private:
  enum class Destination { card, both, host };

  Tried<void> press(Session& session) override {
    if (!has_button_) return session.trigger();
    auto done = session.set(button, "1");
    if (!done) (void)let_go(session);
    return done;
  }
  Tried<void> let_go(Session& session) override {
    return has_button_ ? insist(*this, button, "0", session) : Tried<void>{};
  }

  bool has_button_;
  Destination goes_ = Destination::host;
};

}  // namespace

std::unique_ptr<Family> family_sony(Session& session) {
  if (session.about().extension != extension::sony) return nullptr;
  const bool has_button = session.about().offers(control_operation) && session.control(button).has_value();
  return std::make_unique<FamilySony>(session.about(), has_button);
}

}  // namespace noonfall::gphoto
