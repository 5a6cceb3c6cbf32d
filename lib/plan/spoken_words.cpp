#include "lib/plan/spoken_words.h"

#include <algorithm>
#include <initializer_list>

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

constexpr std::string_view filter = "filter";

/// In Spanish and French too.
bool names_filter(const HeardWords& words) {
  return words.any_part({filter, "filtro", "filtre"});
}

HeardWords heard(std::string_view text) {
  HeardWords words{text};
  words.split_at(filter);
  return words;
}

/// Words that take a thing off, or say that it is off or not needed.
bool takes_off(const HeardWords& words) {
  return words.any_word({"off",   "down", "out",   "up",     "away",   "without", "bare",  "no",    "not",
                         "never", "isnt", "arent", "dont",   "doesnt", "take",    "takes", "taken", "open",
                         "drop",  "lift", "pull",  "strip",  "lose",   "ditch",   "flip",  "swing", "pop",
                         "rid",   "swap", "loose", "loosen", "change", "unclip",  "slide", "un"}) ||
         words.any_word({"sin", "fuera", "sans", "weg", "runter", "ohne", "raus"}) ||
         words.any_stem({"quit", "saca", "retir", "enlev", "abnehm", "entfern", "abgenommen"}) ||
         words.any_stem({"remov", "taking", "unscrew", "unmount", "detach", "discard", "unneed", "needless"});
}

/// A letter stream that says no more than which cap goes off and which filter is on: "Cap off, filter on".
bool only_caps_come_off(std::string_view letters) {
  constexpr std::string_view known[] = {"caps",   "cap",  "filters", "filter", "off",  "on",   "camera",
                                        "lenses", "lens", "stays",   "stay",   "back", "keep", "and",
                                        "the",    "is",   "are",     "all",    "now",  "then"};
  std::string_view thing;
  while (!letters.empty()) {
    const auto* word = std::find_if(std::begin(known), std::end(known),
                                    [letters](auto each) { return letters.starts_with(each); });
    if (word == std::end(known)) return false;
    letters.remove_prefix(word->size());
    if (*word == "off" || *word == "on") {
      const bool fits = thing.starts_with(*word == "off" ? "cap" : filter);
      if (!fits) return false;
      thing = {};
    } else if (word->starts_with("cap") || word->starts_with(filter)) {
      if (!thing.empty()) return false;
      thing = *word;
    }
  }
  return thing.empty();
}

bool takes_filter_off(const HeardWords& words) {
  if (words.any_stem({"unfilter", "uncover", "unmask", "unshield"})) return true;
  const bool names_one = names_filter(words) || words.any_word({"solar", "film", "films", "foil", "foils",
                                                                "cover", "covers", "shield", "shields"});
  return names_one && takes_off(words) && !only_caps_come_off(words.letters());
}

bool denies_harm(const HeardWords& words) {
  if (words.any_part({"safe"}) || words.any_stem({"sicher", "segur", "ungefahr"})) return true;
  if (words.any_word({"harm", "harms", "harmed", "harmful", "unharmed"}) || words.any_stem({"harmless"}))
    return true;
  return words.any_word({"no", "not", "never", "nothing", "without", "zero", "isnt", "wont", "doesnt", "cant",
                         "cannot"}) &&
         words.any_stem({"danger", "risk", "hurt", "injur", "damag", "hazard", "blind", "burn"});
}

bool invites_to_look(const HeardWords& words) {
  const bool looks = words.any_stem({"look", "stare", "staring", "watch", "glanc", "gaze", "gazing", "peek",
                                     "peer", "squint", "view", "observ", "behold"}) ||
                     words.any_word({"see", "eye", "eyes"});
  if (!looks) return words.any_word({"naked", "unaided"});
  return words.any_word({"sun", "suns", "crescent", "crescents", "disc", "disk", "eclipse", "ring", "annulus",
                         "photosphere", "naked", "unaided", "bare"}) ||
         words.any_word({"may", "can", "ok", "okay", "fine", "allowed", "permitted"});
}

bool takes_eye_protection_off(const HeardWords& words) {
  return words.any_word({"glasses", "eyeglasses", "shades", "goggles", "spectacles", "viewer", "viewers",
                         "eye", "eyes", "protection"}) &&
         takes_off(words);
}

std::string_view why_not_about_looking(const HeardWords& words) {
  if (denies_harm(words)) return "must not speak of what is safe";
  if (invites_to_look(words)) return "must not speak of looking at the Sun";
  if (takes_eye_protection_off(words)) return "must not speak of eyes without protection";
  return {};
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

std::string_view why_not_a_filter_off_cue(std::string_view text) {
  const auto words = heard(text);
  if (!names_filter(words)) return "doesn't name the filter";
  return why_not_about_looking(words);
}

std::string_view why_not_a_filter_on_cue(std::string_view text) {
  const auto reason = why_not_a_filter_off_cue(text);
  if (!reason.empty()) return reason;
  return takes_filter_off(heard(text)) ? "would take the filter off where it goes back on"
                                       : std::string_view{};
}

std::string_view why_not_a_cue(std::string_view text) {
  const auto words = heard(text);
  if (takes_filter_off(words)) return "would take a filter off outside its window's own cue";
  return why_not_about_looking(words);
}

}  // namespace noonfall::plan
