// One value on its way into a typed plan, profile or script: where it stands, what it is called, and where
// its errors go.
#pragma once

#include <string>
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

}  // namespace noonfall::yaml
