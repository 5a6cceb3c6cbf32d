#include "tests/unit/clock/machine.h"

namespace noonfall::clock::tests {

const ClockSample& Machine::pass(Duration span) {
  return slew(span, {});
}

const ClockSample& Machine::slew(Duration span, Duration extra) {
  now_.boot += span + extra;
  now_.realtime += span + extra;
  now_.monotonic += span + extra;
  now_.raw += span;
  return now_;
}

const ClockSample& Machine::sleep(Duration span) {
  now_.boot += span;
  now_.realtime += span;
  slept_ += span;
  return now_;
}

const ClockSample& Machine::step(Duration by) {
  now_.realtime += by;
  return now_;
}

}  // namespace noonfall::clock::tests
