// Reads a mapping key by key, and reports the keys nobody asked for.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "lib/yaml/field.h"

namespace noonfall::yaml {

/// Usage:
///     MapReader map{node, "rig \"long\"", findings};
///     rig.mount = read_choice(map.optional("mount"), mounts).value_or(Mount::fixed);
///     map.finish();
/// A node that isn't a mapping is one error, and then every key is absent in silence.
/// Borrows the node and the findings; both outlive it.
class MapReader {
 public:
  /// `what` names the mapping in messages.
  MapReader(const Node& node, std::string what, Diagnostics& findings);
  MapReader(const Field& field, std::string what)
      : MapReader{field.node(), std::move(what), field.findings()} {}

  /// The value under `key`; a missing one is an error at the mapping.
  [[nodiscard]] Field required(std::string_view key);
  /// The value under `key`, or an absent field.
  [[nodiscard]] Field optional(std::string_view key);
  [[nodiscard]] bool has(std::string_view key) const;
  /// A key of other variants of this mapping, offered where a key is unknown.
  void also_known(std::string_view key);

  /// Reports every key that was asked for by neither, with the nearest one that is known.
  void finish();

  [[nodiscard]] Mark mark() const { return mark_; }
  [[nodiscard]] const std::string& what() const { return what_; }

 private:
  [[nodiscard]] const Entry* find(std::string_view key) const;
  [[nodiscard]] std::string wanted_instead_of(const Entry& entry) const;

  Mark mark_;
  std::string what_;
  Diagnostics& findings_;
  const Mapping* mapping_;  // null: the node isn't one
  std::vector<std::string_view> known_;
};

}  // namespace noonfall::yaml
