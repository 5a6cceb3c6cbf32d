// Body profiles: what is read is printed and read back to the same value.
#include "lib/body/profile_text.h"
#include "tests/fuzz/property.h"

using namespace noonfall;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto text = fuzz::text_of(data, size);
  const auto profile = body::parse_profile(text, "body.yaml");
  if (!profile) {
    fuzz::require_explained(profile.error(), text);
    return 0;
  }
  const auto again = body::parse_profile(body::to_text(*profile), "body.yaml");
  fuzz::require(again.has_value() && *again == *profile, "a profile is read back as printed");
  return 0;
}
