// A text as it is heard and read, however it is written: what the rules of speech look into.
#pragma once

#include <initializer_list>
#include <string>
#include <string_view>
#include <vector>

namespace noonfall::plan {

/// The letters and digits of a text in one run, lower-case, without accents, in plain Latin where they only
/// look like it (UTS 39 speaks of confusables), and the edges at which a word may begin or end: wherever
/// anything else stood between them. A word is found whatever stands within it, because the edges inside it
/// don't count: putting in spaces, signs or invisible characters never hides one.
class HeardWords {
 public:
  explicit HeardWords(std::string_view text);

  /// One of these from edge to edge.
  [[nodiscard]] bool any_word(std::initializer_list<std::string_view> words) const;
  /// A word that begins like one of these.
  [[nodiscard]] bool any_stem(std::initializer_list<std::string_view> stems) const;
  /// These letters, wherever they stand.
  [[nodiscard]] bool any_part(std::initializer_list<std::string_view> parts) const;

  /// Words may also end before and begin behind `part` and its plural: "filtersoff" is two.
  void split_at(std::string_view part);

  [[nodiscard]] std::string_view letters() const { return letters_; }

 private:
  [[nodiscard]] bool has(std::string_view what, bool from_edge, bool to_edge) const;

  std::string letters_;
  std::vector<bool> edges_;  // one more than letters_
};

/// One of these rules.
using SpeechRule = std::string_view (*)(std::string_view);

/// Why the cue that takes a filter off can't be reworded like this, as the rest of "\"…\" "; empty if it can.
[[nodiscard]] std::string_view why_not_a_filter_off_cue(std::string_view words);

/// The same for the cue that puts it back on.
[[nodiscard]] std::string_view why_not_a_filter_on_cue(std::string_view words);

/// The same for any other cue, and for names of rigs and steps, which cues quote.
[[nodiscard]] std::string_view why_not_a_cue(std::string_view words);

}  // namespace noonfall::plan
