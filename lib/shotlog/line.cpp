#include "lib/shotlog/line.h"

#include <array>

namespace noonfall::shotlog {
namespace {

template <class Enum, std::size_t size>
std::string_view word(Enum value, const std::array<std::string_view, size>& words) {
  return words[static_cast<std::size_t>(value)];
}

}  // namespace

std::string_view to_text(Mode mode) {
  return word<Mode, 3>(mode, {"event", "dress", "simulated"});
}

std::string_view to_text(ClockGrade grade) {
  return word<ClockGrade, 4>(grade, {"A", "B", "C", "F"});
}

std::string_view to_text(SkipReason reason) {
  return word<SkipReason, 10>(reason, {"other", "late", "held", "skipped", "stopped", "no filter", "no room",
                                       "refused", "step over", "not here"});
}

std::string sentence(SkipReason reason) {
  return std::string{word<SkipReason, 10>(
      reason,
      {"", "its time had passed", "the rig was held", "the operator skipped the step",
       "stopped by the operator", "the camera filter wasn't known to be on", "the buffer has no room for it",
       "the body refused it again and again", "the step's time was over", ""})};
}

std::string why_of(const Skip& skip) {
  return skip.why.empty() ? sentence(skip.reason) : skip.why;
}

std::string_view to_text(RunEnd how) {
  return word<RunEnd, 2>(how, {"done", "stopped"});
}

std::string_view sentence(RunEnd how) {
  return word<RunEnd, 2>(how, {"the plan is done", "stopped by the operator"});
}

}  // namespace noonfall::shotlog
