// Fujifilm's bodies: a stroke without autofocus, and a copy of each picture in the body's memory that keeps
// it busy until it is taken away.
#include "daemon/gphoto/family.h"

#include <algorithm>

namespace noonfall::gphoto {
namespace {

constexpr const char* stroke = "d208";
constexpr const char* whole_stroke = "772";  // 0x0304, which the driver calls "Shoot"

class FamilyFuji final : public Family {
 public:
  FamilyFuji(About about, bool has_stroke)
      : Family{std::move(about), Bursts::none}, has_stroke_{has_stroke} {}
  [[nodiscard]] const char* name() const override { return "fuji"; }

  [[nodiscard]] bool tells_of_stores() const override { return false; }
  [[nodiscard]] bool tells_drive() const override { return false; }
  [[nodiscard]] bool keeps_copies() const override { return true; }

 private:
  /// The driver's own way makes an autofocus stroke first, even in manual focus, and asks without end how
  /// far it is (library.c of libgphoto2 2.5.30).
  Tried<void> press(Session& session) override {
    if (!has_stroke_) return session.trigger();
    if (!chosen_) {
      if (auto set = session.set(stroke, whole_stroke); !set) return set;
      chosen_ = true;
    }
    return operate(session, "0x100e,0x0,0x0");
  }

  bool has_stroke_;
  bool chosen_ = false;
};

}  // namespace

std::unique_ptr<Family> family_fuji(Session& session) {
  if (session.about().extension != extension::fuji) return nullptr;
  const auto strokes = session.control(stroke);
  const bool has_stroke = strokes && !strokes->read_only &&
                          std::ranges::find(strokes->choices, whole_stroke) != strokes->choices.end();
  return std::make_unique<FamilyFuji>(session.about(), has_stroke);
}

}  // namespace noonfall::gphoto
