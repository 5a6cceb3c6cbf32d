// Family A: its capture operation by number, to the card and without autofocus. It answers at once, where the
// driver's trigger looks for news first and waits for the end of the exposure.
#include "daemon/gphoto/family.h"

namespace noonfall::gphoto {
namespace {

constexpr const char* bulb = "bulb";

bool is_missing(const DriverError& error) {
  return error.code == result::unsupported || ptp_code(error.text) == 0x2005;
}

class FamilyA final : public Family {
 public:
  explicit FamilyA(bool has_bulb) : has_bulb_{has_bulb} {}
  [[nodiscard]] const char* name() const override { return "a"; }

  Tried<void> begin(Session& session) override {
    if (!has_operation_) return session.trigger();
    auto done = session.set("opcode", "0x9207,0xffffffff,0x0");
    if (done || !is_missing(done.error())) return done;
    has_operation_ = false;
    return session.trigger();
  }

  [[nodiscard]] bool has_bulb() const override { return has_bulb_; }
  Tried<void> open_bulb(Session& session) override { return session.set(bulb, "1"); }
  /// The driver returns when the body is ready again.
  Tried<void> close_bulb(Session& session) override { return session.set(bulb, "0"); }

 private:
  bool has_operation_ = true;
  bool has_bulb_;
};

}  // namespace

/// Only this family has a control mode.
std::unique_ptr<Family> family_a(Session& session) {
  if (!session.control("controlmode") || !session.control("opcode")) return nullptr;
  return std::make_unique<FamilyA>(session.control(bulb).has_value());
}

}  // namespace noonfall::gphoto
