#include "daemon/clock/kernel_clock.h"

#include <sys/timex.h>

#include <fmt/format.h>

#include "daemon/clock/span_words.h"

namespace noonfall::clock {

KernelClock read_kernel_clock() {
  timex answer{};
  const int state = ntp_adjtime(&answer);
  return {state, answer.status, Duration{answer.maxerror}};
}

Heard<Duration> judge_kernel(const KernelClock& kernel) {
  constexpr Duration server_allowance{50'000};
  constexpr Duration longest_silence{
      450'000};  // 15 min at 0.5 ms/s, and what makes 500 ms with the allowance
  if (kernel.state < 0) return NotHeard{"the kernel can't be asked about its clock"};
  if (kernel.state == TIME_ERROR || (kernel.status & (STA_UNSYNC | STA_CLOCKERR)) != 0) {
    return NotHeard{"the kernel says that nobody keeps its clock"};
  }
  if (kernel.max_error.count() < 0) return NotHeard{"the kernel gives an impossible error of its clock"};
  if (kernel.max_error > longest_silence) {
    return NotHeard{fmt::format("the kernel's clock may be off by {}", span_words(kernel.max_error))};
  }
  return kernel.max_error + server_allowance;
}

}  // namespace noonfall::clock
