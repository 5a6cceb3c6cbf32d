#include "lib/plan/parse_parts.h"

#include <fmt/format.h>

#include "lib/base/number.h"
#include "lib/exposure/scale.h"
#include "lib/yaml/typed.h"

namespace noonfall::plan {
namespace {

constexpr std::string_view to = " to ";

bool less(exposure::Shutter a, exposure::Shutter b) {
  return exposure::shorter(a, b);
}
bool less(exposure::FNumber a, exposure::FNumber b) {
  return a.tenths < b.tenths;
}
bool less(exposure::Iso a, exposure::Iso b) {
  return a.value < b.value;
}

/// "A" or "A to B".
template <class T>
std::optional<Limits<T>> read_limits(const yaml::Field& field, std::optional<T> (*parse)(std::string_view),
                                     const std::string& wanted) {
  const auto text = yaml::read_text(field, wanted);
  if (!text) return std::nullopt;
  const std::string_view whole{*text};
  const auto between = whole.find(to);
  const bool single = between == std::string_view::npos;
  const auto low = parse(trim(whole.substr(0, between)));
  const auto high = single ? low : parse(trim(whole.substr(between + to.size())));
  if (!low || !high) {
    yaml::refuse_text(field, *text, wanted);
    return std::nullopt;
  }
  if (!less(*high, *low)) return Limits<T>{*low, *high};
  field.error("reversed-limits", fmt::format("\"{}\" runs backwards", *text), "the smaller value first");
  return std::nullopt;
}

}  // namespace

ExposureChoice read_exposure_keys(yaml::MapReader& map) {
  ExposureChoice choice;
  choice.mark = map.mark();
  choice.shutter = read_limits(map.optional("shutter"), exposure::parse_shutter,
                               "a shutter time like 1/2000 or 2 s, or limits like 1/2000 to 1/30");
  choice.aperture = read_limits(map.optional("aperture"), exposure::parse_f_number,
                                "an f-number like f/8, or limits like f/5.6 to f/11");
  choice.iso = read_limits(map.optional("iso"), exposure::parse_iso,
                           "an ISO value like 400, or limits like 100 to 1600");
  return choice;
}

ExposureChoice read_exposure(const yaml::Field& field) {
  if (!field) return {};
  yaml::MapReader map{field, "an exposure"};
  auto choice = read_exposure_keys(map);
  map.finish();
  const auto* mapping = std::get_if<yaml::Mapping>(&field.node().value);
  if (mapping && mapping->entries.empty()) {
    field.error("empty-exposure", "an empty exposure", "one or more of shutter, aperture, iso");
  }
  return choice;
}

void refuse_shutter_twice(const ExposureChoice& exposure, const std::optional<Bracket>& bracket,
                          Diagnostics& findings) {
  if (!exposure.shutter || !bracket || std::holds_alternative<CentredBracket>(bracket->shape)) return;
  findings.push_back(error_at(exposure.mark, "shutter-twice",
                              "a shutter here, beside a bracket that names the shutter times",
                              "one of the two; a bracket of frames and by is centred on the shutter"));
}

std::vector<SetChoice> read_sets(const yaml::Field& field) {
  constexpr std::size_t most_sets = 100;
  std::vector<SetChoice> sets;
  const auto items = yaml::read_list(field, "a list of exposures or brackets");
  if (items.size() > most_sets) {
    field.error("out-of-range", fmt::format("{} entries", items.size()),
                fmt::format("at most {}", most_sets));
    return sets;
  }
  for (const auto& item : items) {
    yaml::MapReader map{item, "an entry of sets"};
    SetChoice set;
    set.mark = item.mark();
    const bool is_exposure = map.has("shutter") || map.has("aperture") || map.has("iso");
    const auto choice = read_exposure_keys(map);
    set.bracket = read_bracket_keys(map, item);
    if (is_exposure) set.exposure = choice;
    if (set.bracket && set.bracket->in_body) {
      item.error("sets-in-body", "a bracket in the body as an entry of sets",
                 "`bracket` of the step: the body keeps to one");
    }
    map.finish();
    if (set.exposure) refuse_shutter_twice(*set.exposure, set.bracket, item.findings());
    if (item.is_mapping() && !set.exposure && !set.bracket) {
      item.error(
          "empty-set", "an entry without an exposure or a bracket",
          "keys of an exposure (shutter, aperture, iso) or of a bracket (frames, by, from, to, shutters)");
    }
    sets.push_back(std::move(set));
  }
  return sets;
}

}  // namespace noonfall::plan
