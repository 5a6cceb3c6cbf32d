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

}  // namespace noonfall::plan
