#include "lib/plan/parse_parts.h"

#include "lib/plan/spoken_words.h"
#include "lib/yaml/typed.h"

namespace noonfall::plan {

using namespace std::chrono_literals;

constexpr const char* wanted_off_cue = "words that name the camera's filter, like Camera filter off at long";
constexpr const char* wanted_on_cue = "words that name the camera's filter, like Camera filter on at long";

Filter read_filter(const yaml::Field& field) {
  yaml::MapReader map{field, "a filter"};
  Filter filter;
  filter.mark = field.mark();
  filter.density =
      yaml::read_number(map.optional("density"), {3, 7}, "an optical density from 3 to 7, like 5.0")
          .value_or(filter.density);
  filter.opens = read_instant(map.optional("opens"))
                     .value_or(Instant{ContactOffset{contacts::ContactName::c2, -30s}, field.mark()});
  filter.closes = read_instant(map.optional("closes"))
                      .value_or(Instant{ContactOffset{contacts::ContactName::c3, 30s}, field.mark()});
  filter.handling = read_span(map.optional("handling"), {1s, 2min}, "a duration from 1 s to 2 min, like 8 s")
                        .value_or(filter.handling);
  filter.say_off = read_words(map.optional("say_off"), why_not_a_filter_off_cue, wanted_off_cue).value_or("");
  filter.say_on = read_words(map.optional("say_on"), why_not_a_filter_on_cue, wanted_on_cue).value_or("");
  map.finish();
  return filter;
}

}  // namespace noonfall::plan
