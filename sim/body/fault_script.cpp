#include "sim/body/fault_script.h"

#include <optional>

#include <fmt/format.h>

#include "lib/plan/parse_parts.h"
#include "lib/yaml/field.h"
#include "lib/yaml/reader.h"
#include "lib/yaml/typed.h"
#include "sim/body/read_effect.h"

namespace noonfall::sim {
namespace {

using yaml::Field;
using yaml::MapReader;

constexpr int longest_count = 1000;
const std::string a_count = fmt::format("how often, a whole number from 1 to {}", longest_count);
constexpr plan::SpanRange fault_span{std::chrono::milliseconds{1}, std::chrono::hours{24}};
const std::string a_span = "how long, a duration like 10 s, from 1 ms to 24 h";

void read_format(const Field& field) {
  (void)yaml::read_integer(field, {1, 1}, "noonfall_faults: 1, the only version there is");
}

std::optional<Extent> read_span(const Field& field) {
  const auto span = plan::read_span(field, fault_span, a_span);
  return span ? std::optional<Extent>{*span} : std::nullopt;
}

std::optional<Extent> read_count(const Field& field) {
  const auto count = yaml::read_integer(field, {1, longest_count}, a_count);
  return count ? std::optional<Extent>{static_cast<int>(*count)} : std::nullopt;
}

std::optional<Extent> read_lasting(MapReader& map) {
  const auto count = map.optional("count");
  if (!count) return read_span(map.required("for"));
  count.error("not-countable", "this fault lasts, it doesn't come one by one", "`for`: " + a_span);
  return read_span(map.optional("for"));
}

/// `for` or `count`, never both; what lasts by its nature takes `for` only.
std::optional<Extent> read_extent(MapReader& map, bool countable, Diagnostics& findings) {
  if (!countable) return read_lasting(map);
  const auto span = map.optional("for");
  const auto count = map.optional("count");
  if (span && count) {
    count.error("two-extents", "`for` stands here too", "either `for` or `count`");
    return std::nullopt;
  }
  if (span) return read_span(span);
  if (count) return read_count(count);
  findings.push_back(error_at(map.mark(), "missing-key",
                              fmt::format("{} has no \"for\" and no \"count\"", map.what()),
                              fmt::format("`for`: {}; or `count`: {}", a_span, a_count)));
  return std::nullopt;
}

std::optional<ScriptedFault> read_fault(const Field& field) {
  MapReader map{field, "a fault"};
  const auto rig = map.required("rig");
  const auto name = plan::read_name(rig);
  const auto kind = read_fault_kind(map.required("fault"));
  const auto from = plan::read_instant(map.required("from"));
  if (!kind) return std::nullopt;  // its other keys can't be judged
  const auto extent = read_extent(map, countable(*kind), field.findings());
  const auto effect = read_effect(*kind, map);
  map.finish();
  if (!name || !from || !extent || !effect) return std::nullopt;
  return ScriptedFault{*name, rig.mark(), *from, *extent, *effect};
}

}  // namespace

Result<std::vector<ScriptedFault>> parse_fault_script(std::string_view text) {
  const auto document = yaml::read(text);
  if (!document) return fail(document.error());
  Diagnostics findings;
  MapReader map{*document, "the fault script", findings};
  read_format(map.required("noonfall_faults"));
  std::vector<ScriptedFault> script;
  for (const auto& item : yaml::read_list(map.required("faults"), "a list of faults, at least one")) {
    if (auto fault = read_fault(item)) script.push_back(std::move(*fault));
  }
  map.finish();
  if (has_errors(findings)) return fail(first_by_place(std::move(findings), yaml::most_errors));
  return script;
}

}  // namespace noonfall::sim
