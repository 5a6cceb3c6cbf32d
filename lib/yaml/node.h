// A YAML document as plain values: what was written and where, nothing interpreted.
#pragma once

#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "lib/base/diagnostic.h"

namespace noonfall::yaml {

struct Node;
struct Entry;

/// Written `~`, `null` or as nothing at all.
struct Null {};
/// Any other scalar, as text. Quoted ones (and block scalars) are text and never numbers.
struct Scalar {
  std::string text;
  bool quoted = false;
};
struct Sequence {
  std::vector<Node> items;
};
/// Keys are texts, each once, in the order written.
struct Mapping {
  std::vector<Entry> entries;
};

struct Node {
  Mark mark;  // of the first character; of the key where a value was left out
  std::variant<Null, Scalar, Sequence, Mapping> value;
};
struct Entry {
  std::string key;
  Mark key_mark;
  Node value;
};

/// "nothing", "a text", "a list", "a mapping": what stands at a node, for messages.
[[nodiscard]] std::string_view kind_of(const Node& node);

}  // namespace noonfall::yaml
