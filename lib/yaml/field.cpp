#include "lib/yaml/field.h"

#include <fmt/format.h>

namespace noonfall::yaml {

void Field::error(std::string code, const std::string& message, std::string hint) const {
  if (!node_) return;
  findings_->push_back(
      error_at(node_->mark, std::move(code), fmt::format("{}: {}", name_, message), std::move(hint)));
}

std::vector<Field> read_list(const Field& field, const std::string& wanted) {
  if (!field) return {};
  const auto* list = std::get_if<Sequence>(&field.node().value);
  if (!list || list->items.empty()) {
    field.error("wrong-kind", fmt::format("{} here", list ? "an empty list" : kind_of(field.node())), wanted);
    return {};
  }
  std::vector<Field> items;
  items.reserve(list->items.size());
  for (const auto& item : list->items) items.emplace_back(item, field.name(), field.findings());
  return items;
}

std::vector<Field> read_one_or_more(const Field& field, const std::string& wanted) {
  if (!field) return {};
  return field.is_list() ? read_list(field, wanted) : std::vector{field};
}

}  // namespace noonfall::yaml
