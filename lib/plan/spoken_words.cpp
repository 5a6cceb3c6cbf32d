#include "lib/plan/spoken_words.h"

#include <cctype>
#include <string>

namespace noonfall::plan {
namespace {

/// Lower-case words with one space around each, so that " off " finds a word and not a part of one.
std::string as_words(std::string_view text) {
  std::string words{" "};
  for (const char c : text) {
    const auto u = static_cast<unsigned char>(c);
    if (std::isalnum(u) != 0 || u >= 0x80U) {
      words += static_cast<char>(std::tolower(u));
    } else if (words.back() != ' ') {
      words += ' ';
    }
  }
  if (words.back() != ' ') words += ' ';
  return words;
}

bool contains(const std::string& words, std::string_view part) {
  return words.find(part) != std::string::npos;
}

bool takes_off(const std::string& words) {
  return contains(words, " off ") || contains(words, " remove ");
}

std::string_view why_not_about_looking(const std::string& words) {
  if (contains(words, "safe")) return "must not speak of what is safe";
  if (contains(words, " look at the sun ")) return "must not speak of looking at the Sun";
  return {};
}

}  // namespace

std::string_view why_not_a_filter_off_cue(std::string_view words) {
  const auto spoken = as_words(words);
  if (!contains(spoken, "filter")) return "doesn't name the filter";
  return why_not_about_looking(spoken);
}

std::string_view why_not_a_filter_on_cue(std::string_view words) {
  if (takes_off(as_words(words))) return "would take the filter off where it goes back on";
  return why_not_a_filter_off_cue(words);
}

std::string_view why_not_a_cue(std::string_view words) {
  const auto spoken = as_words(words);
  if (contains(spoken, "filter") && takes_off(spoken))
    return "would take a filter off outside its window's own cue";
  return why_not_about_looking(spoken);
}

}  // namespace noonfall::plan
