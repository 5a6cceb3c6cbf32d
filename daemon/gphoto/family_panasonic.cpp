// Panasonic's bodies: their capture operation by number, since the driver's own trigger has no way for them
// (libgphoto2 2.5.30).
#include "daemon/gphoto/family.h"

namespace noonfall::gphoto {
namespace {

constexpr std::uint16_t capture_operation = 0x9404;

class FamilyPanasonic final : public Family {
 public:
  using Family::Family;
  [[nodiscard]] const char* name() const override { return "panasonic"; }
  [[nodiscard]] std::string why_no_release() const override {
    return about().offers(capture_operation) ? std::string{} : Family::why_no_release();
  }
  [[nodiscard]] bool tells_of_stores() const override { return false; }

 private:
  Tried<void> press(Session& session) override {
    return about().offers(capture_operation) ? operate(session, "0x9404,0x3000011") : session.trigger();
  }
};

}  // namespace

std::unique_ptr<Family> family_panasonic(Session& session) {
  if (session.about().extension != extension::panasonic) return nullptr;
  return std::make_unique<FamilyPanasonic>(session.about(), Bursts::none);
}

}  // namespace noonfall::gphoto
