// Family B: the shutter button pressed down and let go.
#include <algorithm>
#include <initializer_list>
#include <utility>

#include "daemon/gphoto/family.h"

namespace noonfall::gphoto {
namespace {

constexpr const char* button = "eosremoterelease";

class FamilyB final : public Family {
 public:
  explicit FamilyB(Strokes strokes) : strokes_{std::move(strokes)} {}
  [[nodiscard]] const char* name() const override { return "b"; }

  [[nodiscard]] bool settings_are_told() const override { return true; }
  [[nodiscard]] bool holds_bursts() const override { return true; }
  Tried<void> ready(Session& /*session*/, std::size_t /*frames*/) override { return {}; }

  Tried<void> begin(Session& session) override {
    auto done = session.set(button, strokes_.press);
    // A stroke that nobody answered may be down all the same.
    if (!done && answer_of(done.error()) == rig::Answer::no_word) (void)end(session);
    return done;
  }

  /// A button left down shoots on, or blocks the next release: it is let go with some patience.
  Tried<void> end(Session& session) override {
    Tried<void> done;
    for (int tries = 0; tries < 3; ++tries) {
      done = session.set(button, strokes_.let_go);
      if (done || answer_of(done.error()) == rig::Answer::gone) break;
    }
    return done;
  }

  [[nodiscard]] bool has_bulb() const override { return true; }
  Tried<void> open_bulb(Session& session) override { return session.set(button, strokes_.press); }
  Tried<void> close_bulb(Session& session) override { return session.set(button, strokes_.let_go); }

 private:
  Strokes strokes_;
};

std::string first_offered(const std::vector<std::string>& choices,
                          std::initializer_list<const char*> wanted) {
  for (const auto* want : wanted) {
    if (std::ranges::find(choices, want) != choices.end()) return want;
  }
  return {};
}

}  // namespace

Strokes strokes_of(const std::vector<std::string>& choices) {
  Strokes strokes{first_offered(choices, {"Press Full MF", "Press Full", "Press Full AF"}),
                  first_offered(choices, {"Release Full", "Release"})};
  return strokes.press.empty() || strokes.let_go.empty() ? Strokes{} : strokes;
}

std::unique_ptr<Family> family_b(Session& session) {
  const auto control = session.control(button);
  auto strokes = control ? strokes_of(control->choices) : Strokes{};
  return strokes.press.empty() ? nullptr : std::make_unique<FamilyB>(std::move(strokes));
}

}  // namespace noonfall::gphoto
