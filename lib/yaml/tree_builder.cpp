#include "lib/yaml/tree_builder.h"

#include <fmt/format.h>
#include <yaml-cpp/mark.h>

#include "lib/yaml/reader.h"

namespace noonfall::yaml {
namespace {

bool closes_quote(std::string_view quoted) {
  const char quote = quoted.front();
  for (std::size_t at = 1; at < quoted.size(); ++at) {
    const bool escaped = quote == '"' ? quoted[at] == '\\' : quoted.substr(at, 2) == "''";
    if (escaped) {
      ++at;
    } else if (quoted[at] == quote) {
      return true;
    }
  }
  return false;
}

}  // namespace

Mark TreeBuilder::ours(const YAML::Mark& mark) const {
  return source_.mark_of({mark.line, mark.column});
}

void TreeBuilder::OnDocumentStart(const YAML::Mark& mark) {
  if (++documents_ == 1) return;
  refuse(ours(mark), "yaml-documents", "a second document starts here",
         "one document a file; the entries of one list or mapping stand in one column");
  throw ReadingEnded{};
}

void TreeBuilder::OnNull(const YAML::Mark& mark, YAML::anchor_t) {
  auto at = ours(mark);
  // A value left out is marked where the next token stands, often lines below.
  if (!open_.empty() && open_.back().entry) {
    const auto key = open_.back().entry->key_mark;
    if (at.line != key.line) at = key;
  }
  take({at, Null{}});
}

void TreeBuilder::OnAlias(const YAML::Mark& mark, YAML::anchor_t) {
  refuse(ours(mark), "yaml-alias", "an alias (\"*\")", "the value written out, or quotes around the text");
  take({ours(mark), Sequence{}});
}

void TreeBuilder::OnAnchor(const YAML::Mark& mark, const std::string& name) {
  refuse(ours(mark), "yaml-anchor", fmt::format("an anchor (\"&{}\")", name),
         "the value alone, or quotes around the text");
}

void TreeBuilder::OnScalar(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t,
                           const std::string& value) {
  const auto at = ours(mark);
  last_scalar_ = BytePlace{mark.line, mark.column};
  refuse_tag(mark, tag);
  refuse_controls(at, value);
  take({at, Scalar{value, tag == "!"}});
}

void TreeBuilder::OnSequenceStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t,
                                  YAML::EmitterStyle::value) {
  refuse_tag(mark, tag);
  open({ours(mark), Sequence{}});
}

void TreeBuilder::OnMapStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t,
                             YAML::EmitterStyle::value) {
  refuse_tag(mark, tag);
  open({ours(mark), Mapping{}});
}

void TreeBuilder::open(Node node) {
  if (wants_key()) {
    refuse(node.mark, "yaml-key", fmt::format("{} as a key", kind_of(node)), "a text as the key");
  }
  if (open_.size() == deepest_nesting) {
    refuse(node.mark, "yaml-depth", fmt::format("lists and mappings nested deeper than {}", deepest_nesting),
           "fewer levels");
    throw ReadingEnded{};
  }
  open_.push_back({.node = std::move(node)});
}

void TreeBuilder::close() {
  auto node = std::move(open_.back().node);
  open_.pop_back();
  take(std::move(node));
}

bool TreeBuilder::wants_key() const {
  return !open_.empty() && std::holds_alternative<Mapping>(open_.back().node.value) && !open_.back().entry;
}

void TreeBuilder::take(Node node) {
  if (++nodes_ > most_nodes) {
    refuse(node.mark, "yaml-size", fmt::format("more than {} values", most_nodes), "a smaller file");
    throw ReadingEnded{};
  }
  if (open_.empty()) {
    root_ = std::move(node);
  } else if (wants_key()) {
    take_key(node);
  } else if (auto* list = std::get_if<Sequence>(&open_.back().node.value)) {
    list->items.push_back(std::move(node));
  } else {
    auto& parent = open_.back();
    parent.entry->value = std::move(node);
    std::get<Mapping>(parent.node.value).entries.push_back(std::move(*parent.entry));
    parent.entry.reset();
  }
}

void TreeBuilder::take_key(const Node& node) {
  auto& parent = open_.back();
  const auto* key = std::get_if<Scalar>(&node.value);
  parent.entry = Entry{key ? key->text : "", node.mark, {}};
  const bool empty = key ? key->text.empty() : std::holds_alternative<Null>(node.value);
  if (empty) refuse(node.mark, "yaml-key", "an empty key", "a word");
  if (empty || !key) return;
  if (key->text == "<<" && !key->quoted) {
    refuse(node.mark, "yaml-merge", "a merge key (\"<<\")", "the keys written out");
    return;
  }
  const auto [first, fresh] = parent.keys.emplace(key->text, node.mark);
  if (!fresh) {
    refuse(node.mark, "duplicate-key",
           fmt::format("key \"{}\" for the second time, first in line {}", key->text, first->second.line),
           "each key once");
  }
}

void TreeBuilder::refuse_tag(const YAML::Mark& mark, const std::string& tag) {
  // Quoted and block scalars carry the tag "!", as if it were written out.
  const bool written =
      !tag.empty() && tag != "?" && (tag != "!" || source_.from({mark.line, mark.column}).starts_with('!'));
  if (written) refuse(ours(mark), "yaml-tag", "a tag (\"!\")", "the value alone, or quotes around the text");
}

void TreeBuilder::refuse_controls(Mark mark, const std::string& text) {
  if (!is_plain_text(text)) {
    refuse(mark, "yaml-control-character", "a control character written as an escape",
           "plain text without it");
  }
}

void TreeBuilder::refuse(Mark mark, std::string code, std::string message, std::string hint) {
  findings_.push_back(error_at(mark, std::move(code), std::move(message), std::move(hint)));
  if (findings_.size() >= most_errors) throw ReadingEnded{};
}

std::optional<Mark> TreeBuilder::unclosed_quote() const {
  if (!last_scalar_) return std::nullopt;
  const auto quoted = source_.from(*last_scalar_);
  const bool in_quotes = quoted.starts_with('"') || quoted.starts_with('\'');
  return in_quotes && !closes_quote(quoted) ? std::optional{source_.mark_of(*last_scalar_)} : std::nullopt;
}

}  // namespace noonfall::yaml
