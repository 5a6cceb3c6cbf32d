#include "lib/plan/parse_parts.h"

#include <fmt/format.h>

#include "lib/base/code_points.h"
#include "lib/base/number.h"
#include "lib/plan/instant_text.h"
#include "lib/time/duration_text.h"
#include "lib/yaml/typed.h"

namespace noonfall::plan {
namespace {

constexpr const char* wanted_name = "1 to 64 printable characters, no quotes, no space at the ends";
constexpr const char* wanted_instant =
    "an instant like C2 - 8 s, MID + 10 % of totality or 2027-08-02T08:45:00Z";

bool is_name(std::string_view text) {
  return !text.empty() && text == trim(text) && text.find_first_of("\"'\n\t") == std::string_view::npos;
}

}  // namespace

std::optional<std::string> read_name(const yaml::Field& field) {
  auto name = yaml::read_line(field, longest_name, wanted_name);
  if (!name || is_name(*name)) return name;
  field.error("bad-name", "a quote, or a space at an end, in a name", wanted_name);
  return std::nullopt;
}

void check_name(const std::string& name, Mark mark, Diagnostics& findings) {
  if (is_name(name) && code_points(name) <= longest_name) return;
  findings.push_back(error_at(mark, "bad-name", "this can't be a name", wanted_name));
}

void check_spoken_name(std::string_view before, const std::string& name, Mark mark, Diagnostics& findings) {
  const auto reason = why_not_a_cue(fmt::format("{} {}", before, name));
  if (reason.empty()) return;
  findings.push_back(error_at(mark, "unsafe-words", fmt::format("\"{}\" {}: cues quote names", name, reason),
                              "a name about the camera, like long or corona in"));
}

std::optional<Instant> read_instant(const yaml::Field& field) {
  const auto text = yaml::read_text(field, wanted_instant);
  if (!text) return std::nullopt;
  const auto value = parse_instant(*text);
  if (value) return Instant{*value, field.mark()};
  field.error("bad-instant", value.error(), wanted_instant);
  return std::nullopt;
}

std::optional<Duration> read_span(const yaml::Field& field, SpanRange range, const std::string& wanted) {
  const auto span = yaml::read_as(field, parse_duration, wanted);
  if (!span || (*span >= range.low && *span <= range.high)) return span;
  field.error("out-of-range", fmt::format("{} is out of range", noonfall::to_text(*span)), wanted);
  return std::nullopt;
}

std::optional<std::string> read_words(const yaml::Field& field, SpeechRule why_not,
                                      const std::string& wanted) {
  auto words = yaml::read_line(field, longest_words, "words to say, at most 200 characters");
  if (!words) return std::nullopt;
  const auto reason = why_not(*words);
  if (reason.empty()) return words;
  field.error("unsafe-words", fmt::format("\"{}\" {}", *words, reason), wanted);
  return std::nullopt;
}

std::optional<std::string> read_cue_words(const yaml::Field& field) {
  return read_words(
      field, why_not_a_cue,
      "words about the camera; say_off and say_on of a rig's filter reword the filter's own cues");
}

std::string label_of(const yaml::Field& field, std::string_view kind) {
  const auto* mapping = std::get_if<yaml::Mapping>(&field.node().value);
  if (mapping) {
    for (const auto& entry : mapping->entries) {
      const auto* text = std::get_if<yaml::Scalar>(&entry.value.value);
      if (entry.key == "name" && text && is_name(text->text))
        return fmt::format("{} \"{}\"", kind, text->text);
    }
  }
  return fmt::format("a {}", kind);
}

}  // namespace noonfall::plan
