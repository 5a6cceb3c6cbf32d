// What an operator types, or whatever else comes in on the command socket: understood and said back the same,
// or refused with a reason.
#include "lib/shotlog/command.h"
#include "tests/fuzz/property.h"

using namespace noonfall;

namespace {

void check(std::string_view words, const shotlog::CommandNames& names) {
  const auto command = shotlog::parse_command(words, names);
  if (!command) return fuzz::require_explained(command.error(), words);
  const auto again = shotlog::parse_command(to_text(*command), names);
  fuzz::require(again.has_value(), "what is said back is a command");
  fuzz::require(*again == *command, "what is said back is the same command");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto words = fuzz::text_of(data, size);
  check(words, {{"long", "wide angle", "on", "trim", "a  b"}, {"beads in", "corona", "1 stop"}});
  check(words, {});
  return 0;
}
