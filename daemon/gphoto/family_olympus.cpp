// Olympus' and OM System's bodies, known by their maker's name and the operation they advertise: the button
// pressed down and let go by number, since the driver's own trigger has no way for them (libgphoto2 2.5.30).
#include "daemon/gphoto/family.h"

namespace noonfall::gphoto {
namespace {

constexpr std::uint16_t capture_operation = 0x9481;
constexpr const char* press_words = "0x9481,0x3";
constexpr const char* let_go_words = "0x9481,0x6";

class FamilyOlympus final : public Family {
 public:
  using Family::Family;
  [[nodiscard]] const char* name() const override { return "olympus"; }
  [[nodiscard]] std::string why_no_release() const override { return {}; }
  [[nodiscard]] std::string why_no_times() const override {
    return "libgphoto2 sets the times of OLYMPUS bodies named E-M… alone";
  }
  [[nodiscard]] bool tells_of_stores() const override { return false; }
  /// Half a second is 10/20 to the body; the driver shows that reduced, and would send what it shows
  /// (config.c of libgphoto2 2.5.30, _get_ and _put_Olympus_ShutterSpeed).
  [[nodiscard]] Respelling respelling() const override { return {"1/2", "10/20"}; }

 private:
  Tried<void> press(Session& session) override {
    auto done = operate(session, press_words);
    if (!done) (void)let_go(session);
    return done;
  }
  Tried<void> let_go(Session& session) override { return insist(*this, "opcode", let_go_words, session); }
};

}  // namespace

std::unique_ptr<Family> family_olympus(Session& session) {
  const auto& about = session.about();
  const bool is_one = about.maker.starts_with("OLYMPUS") || about.maker.starts_with("OM");
  if (!is_one || !about.offers(capture_operation)) return nullptr;
  return std::make_unique<FamilyOlympus>(about, Bursts::held);
}

}  // namespace noonfall::gphoto
