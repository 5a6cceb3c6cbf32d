// One value on its way into a typed plan, profile or script, and mappings read key by key.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "lib/base/diagnostic.h"
#include "lib/yaml/node.h"

namespace noonfall::yaml {

/// A value under a key, or none: an absent field answers every reader with nothing, in silence.
/// Borrows the node and the findings; both outlive it.
class Field {
 public:
  Field() = default;
  Field(const Node& node, std::string name, Diagnostics& findings)
      : node_{&node}, name_{std::move(name)}, findings_{&findings} {}

  [[nodiscard]] explicit operator bool() const { return node_ != nullptr; }
  /// Only of a field that is there.
  [[nodiscard]] const Node& node() const { return *node_; }
  [[nodiscard]] Diagnostics& findings() const { return *findings_; }

  [[nodiscard]] Mark mark() const { return node_ ? node_->mark : Mark{}; }
  [[nodiscard]] const std::string& name() const { return name_; }

  [[nodiscard]] bool is_text() const { return holds<Scalar>(); }
  [[nodiscard]] bool is_list() const { return holds<Sequence>(); }
  [[nodiscard]] bool is_mapping() const { return holds<Mapping>(); }

  /// Adds an error at the value: "NAME: message". Of an absent field: nothing.
  void error(std::string code, const std::string& message, std::string hint) const;

 private:
  template <class Kind>
  [[nodiscard]] bool holds() const {
    return node_ && std::holds_alternative<Kind>(node_->value);
  }

  const Node* node_ = nullptr;
  std::string name_;
  Diagnostics* findings_ = nullptr;
};

/// The items of a list, each under the list's name. Anything but a list of at least one item is an error.
[[nodiscard]] std::vector<Field> read_list(const Field& field, const std::string& wanted);
/// The same, a value that isn't a list being a list of itself.
[[nodiscard]] std::vector<Field> read_one_or_more(const Field& field, const std::string& wanted);

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
