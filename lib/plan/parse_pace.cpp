#include <fmt/format.h>

#include "lib/plan/parse_parts.h"
#include "lib/yaml/typed.h"

namespace noonfall::plan {
namespace {

using namespace std::chrono_literals;

constexpr std::size_t most_instants = 1000;
constexpr double most_sets = 10'000;
constexpr const char* wanted_pace =
    "at; or from and until with every: DURATION, every: back to back or spread: N";
constexpr const char* wanted_every = "a duration from 100 ms to 24 h, like 5 min, or back to back";

At read_at(const yaml::Field& field) {
  At at;
  const auto items = yaml::read_one_or_more(field, "an instant, or a list of them");
  if (items.size() > most_instants) {
    field.error("out-of-range", fmt::format("{} instants", items.size()),
                fmt::format("at most {}", most_instants));
    return at;
  }
  for (const auto& item : items) {
    if (const auto instant = read_instant(item)) at.instants.push_back(*instant);
  }
  return at;
}

Pace read_every(const yaml::Field& field, const Instant& from, const Instant& until) {
  const auto text = yaml::read_text(field, wanted_every);
  if (text == "back to back") return BackToBack{from, until};
  const auto period = text ? read_span(field, {100ms, 24h}, wanted_every) : std::nullopt;
  return Every{from, until, period.value_or(1s)};
}

/// The first of `fields` that is there.
yaml::Field first_of(std::initializer_list<yaml::Field> fields) {
  for (const auto& field : fields) {
    if (field) return field;
  }
  return {};
}

}  // namespace

std::optional<Pace> read_pace(yaml::MapReader& map, Diagnostics& findings) {
  const auto at = map.optional("at");
  const auto from = map.optional("from");
  const auto until = map.optional("until");
  const auto every = map.optional("every");
  const auto spread = map.optional("spread");
  if (at) {
    first_of({from, until, every, spread}).error("two-paces", "a second pace beside at", wanted_pace);
    return read_at(at);
  }
  const auto starts = read_instant(from);
  const auto ends = read_instant(until);
  if (!from || !until || (!every && !spread)) {
    const auto missing = !from && !until && !every && !spread ? "doesn't say when to shoot"
                         : !from                              ? "has no from"
                         : !until                             ? "has no until"
                                                              : "has neither every nor spread";
    findings.push_back(
        error_at(map.mark(), "missing-pace", fmt::format("{} {}", map.what(), missing), wanted_pace));
  }
  if (every && spread) spread.error("two-paces", "a second pace beside every", wanted_pace);
  if (every) return read_every(every, starts.value_or(Instant{}), ends.value_or(Instant{}));
  const auto count = yaml::read_integer(spread, {1, most_sets}, "a number of sets from 1 to 10000");
  if (!spread) return std::nullopt;
  return Spread{starts.value_or(Instant{}), ends.value_or(Instant{}), static_cast<int>(count.value_or(1))};
}

}  // namespace noonfall::plan
