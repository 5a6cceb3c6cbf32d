#include <fmt/format.h>

#include "lib/exposure/scale.h"
#include "lib/plan/instant_text.h"
#include "lib/plan/parse_parts.h"
#include "lib/yaml/typed.h"

namespace noonfall::plan {
namespace {

constexpr double most_frames = 100;
constexpr const char* wanted_shutter = "a shutter time like 1/2000 or 2 s";
constexpr const char* wanted_shape = "one shape: frames and by; or from, to and by; or shutters";

constexpr yaml::Choice<BracketOrder> orders[] = {{"short first", BracketOrder::short_first},
                                                 {"long first", BracketOrder::long_first},
                                                 {"mirrored", BracketOrder::mirrored}};

/// The fields of all three shapes, read or not.
struct BracketFields {
  yaml::Field frames, by, from, to, shutters, order, in_body;

  explicit BracketFields(yaml::MapReader& map)
      : frames{map.optional("frames")},
        by{map.optional("by")},
        from{map.optional("from")},
        to{map.optional("to")},
        shutters{map.optional("shutters")},
        order{map.optional("order")},
        in_body{map.optional("in body")} {}

  [[nodiscard]] bool none() const {
    return !frames && !by && !from && !to && !shutters && !order && !in_body;
  }
  [[nodiscard]] bool is_centred() const { return frames && by && !from && !to && !shutters; }
  [[nodiscard]] bool is_ladder() const { return from && to && by && !frames && !shutters; }
  [[nodiscard]] bool is_list() const { return shutters && !frames && !by && !from && !to; }
};

std::optional<Stops> read_step(const yaml::Field& field) {
  return yaml::read_as(field, parse_stops, "a step from 0.1 to 10 stops, like 1 stop or 1/3 stop");
}

CentredBracket read_centred(const BracketFields& fields) {
  CentredBracket bracket;
  bracket.frames = static_cast<int>(
      yaml::read_integer(fields.frames, {1, most_frames}, "a number of frames from 1 to 100").value_or(1));
  bracket.by = read_step(fields.by).value_or(Stops{1});
  return bracket;
}

LadderBracket read_ladder(const BracketFields& fields) {
  const auto from = yaml::read_as(fields.from, exposure::parse_shutter, wanted_shutter);
  const auto to = yaml::read_as(fields.to, exposure::parse_shutter, wanted_shutter);
  const auto by = read_step(fields.by);
  if (from && to && !exposure::shorter(*from, *to)) {
    fields.to.error("reversed-limits",
                    fmt::format("{} isn't longer than {}", exposure::to_text(*to), exposure::to_text(*from)),
                    "from the shortest to the longest time; `order: long first` turns the bracket");
  }
  return {from.value_or(exposure::Shutter{}), to.value_or(exposure::Shutter{}), by.value_or(Stops{1})};
}

ListBracket read_listed(const BracketFields& fields) {
  ListBracket bracket;
  const auto items = yaml::read_list(fields.shutters, "a list of shutter times, like [1/1000, 1/125, 1/15]");
  for (const auto& item : items) {
    const auto shutter = yaml::read_as(item, exposure::parse_shutter, wanted_shutter);
    if (shutter) bracket.shutters.push_back(*shutter);
  }
  if (static_cast<double>(items.size()) > most_frames) {
    fields.shutters.error("out-of-range", fmt::format("{} shutter times", items.size()), "at most 100");
  }
  fields.order.error("fixed-order", "listed shutters are taken in the order given", "the list in that order");
  fields.in_body.error("listed-in-body", "a body's own bracket has equal steps, a list may not",
                       "frames and by, or from, to and by");
  return bracket;
}

bool read_in_body(const BracketFields& fields) {
  constexpr yaml::Choice<bool> words[] = {{"true", true}, {"false", false}};
  const bool in_body = yaml::read_choice(fields.in_body, words).value_or(false);
  if (in_body) {
    fields.order.error("order-in-body", "the order of a body's own bracket is the body's",
                       "no order here; the body's profile has it");
  }
  return in_body;
}

}  // namespace

std::optional<Bracket> read_bracket_keys(yaml::MapReader& map, const yaml::Field& whole) {
  const BracketFields fields{map};
  if (fields.none()) return std::nullopt;
  Bracket bracket;
  bracket.mark = whole.mark();
  if (fields.is_centred()) {
    bracket.shape = read_centred(fields);
  } else if (fields.is_ladder()) {
    bracket.shape = read_ladder(fields);
  } else if (fields.is_list()) {
    bracket.shape = read_listed(fields);
    return bracket;
  } else {
    whole.error("bracket-shape", "keys that make no bracket together", wanted_shape);
  }
  bracket.in_body = read_in_body(fields);
  bracket.order = yaml::read_choice(fields.order, orders).value_or(BracketOrder::short_first);
  return bracket;
}

std::optional<Bracket> read_bracket(const yaml::Field& field) {
  if (!field) return std::nullopt;
  yaml::MapReader map{field, "a bracket"};
  auto bracket = read_bracket_keys(map, field);
  map.finish();
  if (!bracket && field.is_mapping()) field.error("bracket-shape", "an empty bracket", wanted_shape);
  return bracket;
}

}  // namespace noonfall::plan
