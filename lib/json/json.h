// JSON text to a tree and back, within bounds, and what is wrong with a value that isn't the one wanted.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include <nlohmann/json.hpp>

#include "lib/base/diagnostic.h"
#include "lib/base/result.h"

namespace noonfall::json {

using Json = nlohmann::ordered_json;  // members stay in the order written

enum class Unknown { passed_over, refused };

/// How strictly a text is read, and what its findings are called.
struct Rules {
  std::string code = "json";
  Unknown unknown = Unknown::passed_over;
  std::size_t most_findings = 1;  // further ones are left out
  std::size_t most_bytes = std::size_t{64} << 20U;
  int deepest = 16;  // lists and objects within each other
};

/// The object that `text` is. A finding has the place where it stops being JSON.
[[nodiscard]] Result<Json> parse(std::string_view text, const Rules& rules);

/// One line with its '\n'; bytes that aren't UTF-8 are replaced.
[[nodiscard]] std::string to_line(const Json& json);
/// The same over several lines, for people.
[[nodiscard]] std::string to_indented(const Json& json);

/// Where a value stands: "rigs[0].steps[2].sets".
struct Place {
  const Place* within = nullptr;
  std::string_view name = {};  // empty: an element of a list
  std::size_t index = 0;
};

/// What is wrong with a text that is being read.
struct Findings {
  const Rules& rules;
  Diagnostics list = {};
  bool closed = false;  // no further one says anything
};

/// What was found where a value was looked for. One that isn't there is "discarded", thus of no kind.
struct Found {
  const Json& value;
  const Place& place;
  Findings& findings;
  bool null_too = false;

  /// "speed" is "fast", and what is wanted.
  void refuse(std::string_view wanted, std::string_view code = {}) const;
  /// A member that nobody asked for.
  void refuse_unknown() const;
};

}  // namespace noonfall::json
