#include "lib/yaml/node.h"

namespace noonfall::yaml {

std::string_view kind_of(const Node& node) {
  if (std::holds_alternative<Null>(node.value)) return "nothing";
  if (std::holds_alternative<Scalar>(node.value)) return "a text";
  if (std::holds_alternative<Sequence>(node.value)) return "a list";
  return "a mapping";
}

}  // namespace noonfall::yaml
