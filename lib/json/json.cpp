#include "lib/json/json.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "lib/base/code_points.h"

namespace noonfall::json {
namespace {

Mark mark_of(std::string_view text, std::size_t byte) {
  const auto before = text.substr(0, std::min(byte, text.size()));
  const auto line = before.substr(before.rfind('\n') + 1);
  return {static_cast<int>(std::ranges::count(before, '\n')) + 1, static_cast<int>(code_points(line)) + 1};
}

/// Counts brackets, those in strings aside.
bool deeper_than(int most, std::string_view text) {
  int depth = 0;
  bool in_string = false;
  for (std::size_t n = 0; n < text.size(); ++n) {
    const char c = text[n];
    if (c == '"') in_string = !in_string;
    if (in_string && c == '\\') ++n;
    if (in_string) continue;
    if ((c == '[' || c == '{') && ++depth > most) return true;
    if (c == ']' || c == '}') --depth;
  }
  return false;
}

std::string path_of(const Place& place) {
  const auto before = place.within == nullptr ? std::string{} : path_of(*place.within);
  if (place.name.empty()) return place.within == nullptr ? "" : fmt::format("{}[{}]", before, place.index);
  return before.empty() ? std::string{place.name} : fmt::format("{}.{}", before, place.name);
}

std::string shown(const Json& value) {
  constexpr std::size_t longest = 80;
  if (value.is_discarded()) return "missing";
  if (value.is_array()) return fmt::format("a list of {}", value.size());
  if (value.is_object()) return "an object";
  auto text = value.dump(-1, ' ', false, Json::error_handler_t::replace);
  if (text.size() <= longest) return text;
  auto end = longest;
  while (continues_code_point(text[end])) --end;
  return text.substr(0, end) + "…";
}

void add(Findings& findings, Diagnostic finding) {
  if (!findings.closed && findings.list.size() < findings.rules.most_findings)
    findings.list.push_back(std::move(finding));
}

}  // namespace

Result<Json> parse(std::string_view text, const Rules& rules) {
  const auto bad = [&](Mark mark, std::string what) {
    return fail(error_at(mark, rules.code, std::move(what), "one JSON object"));
  };
  if (text.size() > rules.most_bytes) return bad({}, fmt::format("more than {} bytes", rules.most_bytes));
  if (deeper_than(rules.deepest, text))
    return bad({}, fmt::format("nested more than {} deep", rules.deepest));
  try {
    auto json = Json::parse(text);
    if (!json.is_object()) return bad({}, "not a JSON object");
    return json;
  } catch (const Json::parse_error& error) {
    return bad(mark_of(text, error.byte == 0 ? 0 : error.byte - 1), "not JSON");
  } catch (const Json::out_of_range&) {  // its only one while it reads: 406, without a place
    return bad({}, "a number too large for a double");
  }
}

std::string to_line(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace) + '\n';
}

std::string to_indented(const Json& json) {
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + '\n';
}

void Found::refuse(std::string_view wanted, std::string_view code) const {
  const auto path = path_of(place);
  add(findings, error_at({}, code.empty() ? findings.rules.code : std::string{code},
                         fmt::format("{} is {}", path.empty() ? "it" : '"' + path + '"', shown(value)),
                         fmt::format("{}{}", null_too ? "null or " : "", wanted)));
}

void Found::refuse_unknown() const {
  add(findings, error_at({}, findings.rules.code, fmt::format("\"{}\" isn't known", path_of(place)),
                         "only what this version writes"));
}

}  // namespace noonfall::json
