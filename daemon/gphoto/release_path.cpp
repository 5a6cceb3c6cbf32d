#include "daemon/gphoto/release_path.h"

#include <optional>
#include <utility>

#include <fmt/format.h>

namespace noonfall::gphoto {
namespace {

constexpr const char* burst_number = "burstnumber";

/// Tells the body how many frames its next burst has, when it doesn't know yet.
class BurstLength {
 public:
  [[nodiscard]] Tried<void> tell(Session& session, std::size_t frames) {
    if (told_ == frames || (frames == 1 && told_ == 0)) return {};
    auto done = session.set(burst_number, fmt::format("{}", frames));
    if (done) told_ = frames;
    return done;
  }

 private:
  std::size_t told_ = 0;  // never
};

/// The driver's own: it may wait for the body to be ready, and on some bodies until the exposure is over.
class Trigger final : public ReleasePath {
 public:
  Tried<void> ready(Session& session, std::size_t frames) override { return burst_.tell(session, frames); }
  Tried<void> begin(Session& session) override { return session.trigger(); }

 private:
  BurstLength burst_;
};

/// Family A: its capture operation by number, to the card and without autofocus. It answers at once, where
/// the driver's trigger looks for news first and waits for the end of the exposure.
class Operation final : public ReleasePath {
 public:
  explicit Operation(bool has_bulb) : has_bulb_{has_bulb} {}

  Tried<void> ready(Session& session, std::size_t frames) override { return burst_.tell(session, frames); }

  Tried<void> begin(Session& session) override {
    if (has_operation_) {
      auto done = session.set("opcode", "0x9207,0xffffffff,0x0");
      if (done || !is_missing(done.error())) return done;
      has_operation_ = false;
    }
    return session.trigger();
  }

  [[nodiscard]] bool has_bulb() const override { return has_bulb_; }
  Tried<void> open_bulb(Session& session) override { return session.set(bulb, "1"); }
  /// The driver returns when the body is ready again.
  Tried<void> close_bulb(Session& session) override { return session.set(bulb, "0"); }

  static constexpr const char* bulb = "bulb";

 private:
  static bool is_missing(const DriverError& error) {
    return error.code == result::unsupported || ptp_code(error.text) == 0x2005;
  }

  BurstLength burst_;
  bool has_operation_ = true;
  bool has_bulb_;
};

/// Family B: the shutter button pressed down and let go.
class Button final : public ReleasePath {
 public:
  explicit Button(Strokes strokes) : strokes_{std::move(strokes)} {}

  [[nodiscard]] bool is_held() const override { return true; }
  [[nodiscard]] bool settings_are_told() const override { return true; }
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

  static constexpr const char* button = "eosremoterelease";

 private:
  Strokes strokes_;
};

std::string choose(const std::vector<std::string>& choices, const std::vector<std::string>& wanted) {
  for (const auto& want : wanted) {
    for (const auto& choice : choices) {
      if (choice == want) return choice;
    }
  }
  return {};
}

}  // namespace

Strokes strokes_of(const std::vector<std::string>& choices) {
  Strokes strokes{choose(choices, {"Press Full MF", "Press Full", "Press Full AF"}),
                  choose(choices, {"Release Full", "Release"})};
  return strokes.press.empty() || strokes.let_go.empty() ? Strokes{} : strokes;
}

std::unique_ptr<ReleasePath> release_path_of(Session& session) {
  if (const auto button = session.control(Button::button)) {
    auto strokes = strokes_of(button->choices);
    if (!strokes.press.empty()) return std::make_unique<Button>(std::move(strokes));
  }
  // Only family A has a control mode.
  if (session.control("controlmode") && session.control("opcode")) {
    return std::make_unique<Operation>(session.control(Operation::bulb).has_value());
  }
  return std::make_unique<Trigger>();
}

}  // namespace noonfall::gphoto
