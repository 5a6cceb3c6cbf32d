#include "lib/plan/heard_words.h"

#include <algorithm>

#include "lib/base/unicode.h"

namespace noonfall::plan {
namespace {

/// Cyrillic, Greek, small-capital and other letters that pass for Latin ones, and what they pass for.
constexpr std::u32string_view lookalikes =
    U"аеорсхуіјѕһԁԛԝӏкмтнвгпАЕОРСХУІЈЅКМТНВ"
    U"αβγεικνορτυχηωσΑΒΕΖΗΙΚΜΝΟΡΤΥΧ"
    U"ıɑɡɩꜰɪʟᴛᴇʀᴏᴅᴡɴᴜꜱᴠᴍᴀᴋʜᴄᴘᴊɢʙʏᴢƒłøđ";
constexpr std::u32string_view latin =
    U"aeopcxyijshdqwlkmthbrnaeopcxyijskmthb"
    U"abyeikvoptuxnwoabezhikmnoptyx"
    U"iagifilterodwnusvmakhcpjgbyzflod";
static_assert(lookalikes.size() == latin.size());

char32_t as_heard(char32_t character) {
  const auto found = lookalikes.find(character);
  return found == std::u32string_view::npos ? lower_case(character) : latin[found];
}

}  // namespace

HeardWords::HeardWords(std::string_view text) : edges_{true} {
  const auto plain = taken_apart(text);
  for (std::string_view rest = plain; !rest.empty();) {
    const auto character = take_character(rest).value.value_or(U' ');
    if (is_letter_or_digit(character) && !is_invisible(character)) {
      letters_ += to_utf8(as_heard(character));
      edges_.resize(letters_.size() + 1, false);
    } else {
      edges_.back() = true;
    }
  }
  edges_.back() = true;
}

bool HeardWords::has(std::string_view what, bool from_edge, bool to_edge) const {
  for (auto at = letters_.find(what); at != std::string::npos; at = letters_.find(what, at + 1)) {
    if ((!from_edge || edges_[at]) && (!to_edge || edges_[at + what.size()])) return true;
  }
  return false;
}

bool HeardWords::any_word(std::initializer_list<std::string_view> words) const {
  return std::any_of(words.begin(), words.end(), [this](auto word) { return has(word, true, true); });
}

bool HeardWords::any_stem(std::initializer_list<std::string_view> stems) const {
  return std::any_of(stems.begin(), stems.end(), [this](auto stem) { return has(stem, true, false); });
}

bool HeardWords::any_part(std::initializer_list<std::string_view> parts) const {
  return std::any_of(parts.begin(), parts.end(), [this](auto part) { return has(part, false, false); });
}

void HeardWords::split_at(std::string_view part) {
  for (auto at = letters_.find(part); at != std::string::npos; at = letters_.find(part, at + 1)) {
    const auto end = at + part.size();
    edges_[at] = edges_[end] = true;
    if (end < letters_.size() && letters_[end] == 's') edges_[end + 1] = true;
  }
}

}  // namespace noonfall::plan
