// Return values and flags: adjtimex(2). The growth of maxerror: Linux, kernel/time/ntp.c (MAXFREQ, 500 us/s).
#include "daemon/clock/kernel_clock.h"

#include <sys/timex.h>

#include <doctest/doctest.h>

namespace noonfall::clock {
namespace {

using namespace std::chrono_literals;

std::string refusal(const KernelClock& kernel) {
  const auto judged = judge_kernel(kernel);
  return judged ? "" : judged.error();
}

}  // namespace

TEST_CASE("the kernel's word is its error and what a simple time daemon leaves out") {
  CHECK(judge_kernel({TIME_OK, STA_PLL, 12ms}) == 62ms);
  CHECK(judge_kernel({TIME_INS, STA_PLL | STA_INS, 0us}) == 50ms);
}

TEST_CASE("an unsynchronised kernel clock is no word at all") {
  CHECK(refusal({TIME_ERROR, STA_UNSYNC, 16s}) == "the kernel says that nobody keeps its clock");
  CHECK(refusal({TIME_OK, STA_UNSYNC, 1ms}) == "the kernel says that nobody keeps its clock");
  CHECK(refusal({TIME_ERROR, 0, 1ms}) == "the kernel says that nobody keeps its clock");
  CHECK(refusal({-1, 0, 0us}) == "the kernel can't be asked about its clock");
  CHECK(refusal({TIME_OK, 0, -1us}) == "the kernel gives an impossible error of its clock");
}

TEST_CASE("a flag that looks fine doesn't hide for hours that the time daemon is gone") {
  const auto after = [](Duration silence) { return KernelClock{TIME_OK, STA_PLL, silence / 2000}; };
  CHECK(judge_kernel(after(15min)) == 500ms);
  CHECK(refusal(after(16min)) == "the kernel's clock may be off by 480 ms");
  CHECK(refusal(after(8h)) == "the kernel's clock may be off by 14.400 s");
}

TEST_CASE("this machine's kernel answers") {
  const auto kernel = read_kernel_clock();
  CHECK(kernel.state >= TIME_OK);
  CHECK(kernel.state <= TIME_ERROR);
}

}  // namespace noonfall::clock
