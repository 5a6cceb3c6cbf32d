// What the two directions of the line have in common when a line is read. Only for this folder's .cpp files.
#pragma once

#include <string>
#include <string_view>

#include <fmt/format.h>

#include "daemon/worker/json_members.h"
#include "lib/base/result.h"

namespace noonfall::worker {

/// Thrown for a "say" that isn't known, caught in decode_line().
struct UnknownSay {};

/// `read(json, say)` makes the value, or throws BadMember or UnknownSay.
template <class Words, class Read>
[[nodiscard]] Result<Words> decode_line(std::string_view line, Read read) {
  const auto json = Json::parse(line, nullptr, false);
  if (!json.is_object()) {
    return fail(error_at({}, "bad-line", "the line isn't a JSON object", "one JSON object a line"));
  }
  std::string say;
  try {
    say = text(member(json, "say"), "say");
    return read(json, say);
  } catch (const BadMember& found) {
    const auto of = say.empty() ? std::string{} : fmt::format(" of \"{}\"", clipped(say));
    return fail(error_at({}, "bad-line",
                         fmt::format("{}{} is missing or isn't what it should be", found.what, of),
                         "docs/worker-protocol.md names the members"));
  } catch (const UnknownSay&) {
    return fail(error_at({}, "unknown-say", fmt::format("\"{}\" isn't known here", clipped(say)),
                         "docs/worker-protocol.md names what can be said"));
  }
}

}  // namespace noonfall::worker
