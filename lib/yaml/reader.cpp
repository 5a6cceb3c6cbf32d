#include "lib/yaml/reader.h"

#include <exception>
#include <optional>
#include <sstream>

#include <fmt/format.h>
#include <yaml-cpp/yaml.h>

#include "lib/yaml/source_text.h"
#include "lib/yaml/tree_builder.h"

namespace noonfall::yaml {
namespace {

Diagnostic syntax_error(Mark mark, std::string_view complaint) {
  auto words = in_plain_words(complaint);
  return error_at(mark, "yaml-syntax", std::move(words.message), std::move(words.hint));
}

/// Feeds every document to `builder`; the error that ended the reading early, if one did.
std::optional<Diagnostic> parse_into(TreeBuilder& builder, const SourceText& source, std::string_view text) {
  std::istringstream in{std::string{text} + '\n'};
  try {
    YAML::Parser parser{in};
    while (parser.HandleNextDocument(builder)) {
    }
  } catch (const ReadingEnded&) {
    return std::nullopt;
  } catch (const YAML::Exception& error) {
    const bool unclosed =
        error.msg == YAML::ErrorMsg::END_OF_MAP_FLOW || error.msg == YAML::ErrorMsg::END_OF_SEQ_FLOW;
    const Mark noticed = source.mark_of({error.mark.line, error.mark.column});
    return syntax_error(unclosed ? builder.innermost() : noticed, error.msg);
  } catch (const std::exception& error) {
    return syntax_error({1, 1}, error.what());
  }
  return std::nullopt;
}

}  // namespace

Result<Node> read(std::string_view text) {
  if (text.size() > largest_text) {
    return fail(error_at({1, 1}, "yaml-size", fmt::format("the file has {} bytes", text.size()),
                         fmt::format("at most {} bytes", largest_text)));
  }
  auto unreadable = unreadable_characters(text);
  if (!unreadable.empty()) return fail(first_by_place(std::move(unreadable), most_errors));

  const SourceText source{text};
  TreeBuilder builder{source};
  auto ended_by = parse_into(builder, source, text);
  if (const auto quote = builder.unclosed_quote()) {
    ended_by = error_at(*quote, "yaml-syntax", "a text in quotes that never ends", "a closing quote");
  }
  auto& findings = builder.findings();
  if (ended_by) findings.push_back(std::move(*ended_by));
  if (!findings.empty()) return fail(first_by_place(std::move(findings), most_errors));
  if (!builder.root() || std::holds_alternative<Null>(builder.root()->value)) {
    return fail(error_at({1, 1}, "yaml-empty", "the file is empty", "a document"));
  }
  return std::move(*builder.root());
}

}  // namespace noonfall::yaml
