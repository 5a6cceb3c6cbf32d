#include "daemon/cli/length_text.h"

#include <fmt/format.h>

namespace noonfall::cli {

std::string length_text(Duration span) {
  const auto tenths = (span.count() + 50'000) / 100'000;
  return tenths < 600 ? fmt::format("{}.{} s", tenths / 10, tenths % 10)
                      : fmt::format("{} min {:02}.{} s", tenths / 600, tenths / 10 % 60, tenths % 10);
}

}  // namespace noonfall::cli
