// The reader under every YAML file of ours.
#include "lib/yaml/reader.h"
#include "tests/fuzz/property.h"

using namespace noonfall;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto text = fuzz::text_of(data, size);
  if (const auto tree = yaml::read(text); !tree) fuzz::require_explained(tree.error(), text);
  return 0;
}
