// The small words of a plan: durations, instants, dates, shutters, f-numbers, ISO values, subjects. What is
// read is printed and read back to the same value.
#include "lib/base/number.h"
#include "lib/exposure/exposure.h"
#include "lib/exposure/subject.h"
#include "lib/time/duration_text.h"
#include "lib/time/time_scales.h"
#include "lib/time/utc_text.h"
#include "tests/fuzz/property.h"

using namespace noonfall;

namespace {

void check_times(std::string_view text) {
  if (const auto span = parse_duration(text)) {
    fuzz::require(parse_duration(to_text(*span)) == span, "a duration is read back as printed");
  }
  if (const auto instant = parse_utc(text)) {
    fuzz::require(parse_utc(to_text_us(*instant)) == instant, "an instant is read back as printed");
  }
  if (const auto date = parse_date(text)) {
    fuzz::require(parse_date(to_text(*date)) == date, "a date is read back as printed");
  }
}

void check_exposures(std::string_view text) {
  if (const auto shutter = exposure::parse_shutter(text)) {
    fuzz::require(exposure::parse_shutter(to_text(*shutter)) == shutter, "a shutter is read back as printed");
  }
  if (const auto aperture = exposure::parse_f_number(text)) {
    fuzz::require(exposure::parse_f_number(to_text(*aperture)) == aperture,
                  "an f-number is read back as printed");
  }
  if (const auto iso = exposure::parse_iso(text)) {
    fuzz::require(iso->value >= 6 && iso->value <= 409600, "an ISO value is within its limits");
  }
  if (const auto subject = exposure::parse_subject(text)) {
    fuzz::require(exposure::parse_subject(to_text(*subject)) == subject, "a subject is read back as printed");
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto text = fuzz::text_of(data, size);
  check_times(text);
  check_exposures(text);
  fuzz::require(parse_decimal(text).has_value() == why_not_a_number(text).empty(),
                "a refused number has a reason");
  if (const auto table = parse_leap_seconds(text); !table)
    fuzz::require(has_errors(table.error()), "has a reason");
  return 0;
}
