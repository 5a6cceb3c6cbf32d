#include "lib/yaml/field.h"

#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "lib/base/nearest_word.h"

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

MapReader::MapReader(const Node& node, std::string what, Diagnostics& findings)
    : mark_{node.mark},
      what_{std::move(what)},
      findings_{findings},
      mapping_{std::get_if<Mapping>(&node.value)} {
  if (mapping_) return;
  findings_.push_back(error_at(mark_, "wrong-kind", fmt::format("{}: {} here", what_, kind_of(node)),
                               "a mapping, \"key: value\" on each line or {key: value, key: value}"));
}

const Entry* MapReader::find(std::string_view key) const {
  if (!mapping_) return nullptr;
  const auto& entries = mapping_->entries;
  const auto found =
      std::find_if(entries.begin(), entries.end(), [&](const Entry& entry) { return entry.key == key; });
  return found == entries.end() ? nullptr : &*found;
}

bool MapReader::has(std::string_view key) const {
  return find(key) != nullptr;
}

void MapReader::also_known(std::string_view key) {
  if (std::find(known_.begin(), known_.end(), key) == known_.end()) known_.push_back(key);
}

Field MapReader::optional(std::string_view key) {
  also_known(key);
  const auto* entry = find(key);
  return entry ? Field{entry->value, std::string{key}, findings_} : Field{};
}

Field MapReader::required(std::string_view key) {
  auto field = optional(key);
  if (!field && mapping_) {
    findings_.push_back(error_at(mark_, "missing-key", fmt::format("{} has no \"{}\"", what_, key),
                                 fmt::format("the key \"{}\"", key)));
  }
  return field;
}

void MapReader::finish() {
  if (!mapping_) return;
  for (const auto& entry : mapping_->entries) {
    if (std::find(known_.begin(), known_.end(), entry.key) != known_.end()) continue;
    findings_.push_back(error_at(entry.key_mark, "unknown-key",
                                 fmt::format("{} has no key \"{}\"", what_, entry.key),
                                 wanted_instead_of(entry)));
  }
}

std::string MapReader::wanted_instead_of(const Entry& entry) const {
  const bool looks_like_words = entry.key.find(' ') != std::string::npos;
  if (looks_like_words && std::holds_alternative<Null>(entry.value.value)) {
    return "quotes around a text with a comma in it";
  }
  auto nearest = nearest_word(entry.key, known_);
  if (!nearest.empty()) return nearest;
  return fmt::format("{}{}", known_.size() == 1 ? "" : "one of ", fmt::join(known_, ", "));
}

}  // namespace noonfall::yaml
