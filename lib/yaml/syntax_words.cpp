#include "lib/yaml/syntax_words.h"

#include <algorithm>
#include <array>

#include <fmt/format.h>
#include <yaml-cpp/exceptions.h>

namespace noonfall::yaml {
namespace {

struct Wording {
  std::string_view complaint;  // how it starts
  std::string_view message;
  std::string_view hint;
};

constexpr std::string_view one_column = "the keys of one mapping, or the dashes of one list, in one column";

const std::array<Wording, 19> wordings{{
    {YAML::ErrorMsg::MAP_VALUE, "a \":\" can't stand here",
     "one key a line, in the column of its neighbours; quotes around a text with \": \" in it"},
    {YAML::ErrorMsg::MAP_KEY, "a key can't start here", one_column},
    {YAML::ErrorMsg::END_OF_MAP, "this fits neither the mapping above nor its indentation", one_column},
    {YAML::ErrorMsg::END_OF_SEQ, "this fits neither the list above nor its indentation", one_column},
    {YAML::ErrorMsg::END_OF_MAP_FLOW, "a mapping in braces that isn't closed", "a closing \"}\""},
    {YAML::ErrorMsg::END_OF_SEQ_FLOW, "a list in brackets that isn't closed", "a closing \"]\""},
    {YAML::ErrorMsg::FLOW_END, "a closing bracket without its opening one", "brackets in pairs"},
    {YAML::ErrorMsg::BLOCK_ENTRY, "a \"-\" can't start a list here", "the list on its own lines, or [a, b]"},
    {YAML::ErrorMsg::UNKNOWN_TOKEN, "a text can't start with this character", "quotes around the text"},
    {YAML::ErrorMsg::CHAR_IN_SCALAR, "this character can't stand in a text here", "quotes around the text"},
    {YAML::ErrorMsg::EOF_IN_SCALAR, "the file ends inside a text in quotes", "a closing quote"},
    {YAML::ErrorMsg::DOC_IN_SCALAR, "a document mark inside a text", "a closing quote before it"},
    {YAML::ErrorMsg::TAB_IN_INDENTATION, "a tab indents this line", "spaces"},
    {YAML::ErrorMsg::INVALID_ESCAPE, "an unknown escape in a text in double quotes",
     "\\\\ for a backslash, \\\" for a quote, or single quotes around the text"},
    {YAML::ErrorMsg::INVALID_HEX, "an escape with a bad hexadecimal number", "digits 0-9 and a-f"},
    {YAML::ErrorMsg::INVALID_UNICODE, "an escape that isn't a character", "the character itself"},
    {YAML::ErrorMsg::UNKNOWN_ANCHOR, "an alias (\"*\")", "the value written out, or quotes around the text"},
    {YAML::ErrorMsg::ALIAS_NOT_FOUND, "an alias (\"*\")", "the value written out, or quotes around the text"},
    {YAML::ErrorMsg::ANCHOR_NOT_FOUND, "an anchor (\"&\")", "the value alone, or quotes around the text"},
}};

}  // namespace

SyntaxWords in_plain_words(std::string_view complaint) {
  const auto known = std::find_if(wordings.begin(), wordings.end(),
                                  [&](const Wording& w) { return complaint.starts_with(w.complaint); });
  if (known == wordings.end()) return {fmt::format("not YAML as we read it ({})", complaint), "plain YAML"};
  return {std::string{known->message}, std::string{known->hint}};
}

}  // namespace noonfall::yaml
