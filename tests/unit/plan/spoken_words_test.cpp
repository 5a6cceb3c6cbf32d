// Which words a plan may have spoken. The rule is the project's own; the characters are Unicode's, by name.
#include <doctest/doctest.h>
#include <fmt/format.h>
#include <rapidcheck.h>

#include "lib/plan/spoken_words.h"
#include "tests/unit/plan/plan_text.h"

namespace noonfall::plan {
namespace {

constexpr const char* takes_off = "would take a filter off outside its window's own cue";
constexpr const char* safety = "must not speak of what is safe";
constexpr const char* looking = "must not speak of looking at the Sun";
constexpr const char* eyes = "must not speak of eyes without protection";

struct Refused {
  std::string words;
  std::string why;
};

const std::vector<Refused>& refused() {
  static const std::vector<Refused> all{
      {"Camera filter off", takes_off},
      {"camera filter off", takes_off},
      {"CAMERA FILTER OFF", takes_off},
      {"Filters down now", takes_off},
      {"Filters up", takes_off},
      {"Off with the filters!", takes_off},
      {"Remove the filter", takes_off},
      {"Removing filters", takes_off},
      {"Take the filter away", takes_off},
      {"Shoot without the filter", takes_off},
      {"corona unfiltered", takes_off},
      {"Filter not needed", takes_off},
      {"Filter isn't on", takes_off},
      {"No filter now", takes_off},
      {"Bare lens, filter in the bag", takes_off},
      {"filteroff", takes_off},
      {"FiltersOff", takes_off},
      {"filters_off", takes_off},
      {"Solar cap off", takes_off},
      {"Solar film down", takes_off},
      {"Covers off", takes_off},
      {"Uncover the lens", takes_off},
      // a cap's cue hides no filter's
      {"Cap on, filter off", takes_off},
      {"Cap, filter off", takes_off},
      {"Cap off, filter on, no: off", takes_off},
      {"Cap off, and the filter too", takes_off},
      {"Cap off filter", takes_off},
      // beside the words or within them: EM DASH, NO-BREAK SPACE, ZERO WIDTH SPACE and JOINER, SOFT HYPHEN,
      // WORD JOINER, IDEOGRAPHIC SPACE, RIGHT-TO-LEFT OVERRIDE, HANGUL FILLER
      {"Camera filter\u2014off\u2014now", takes_off},
      {"Camera filter\u00A0off\u00A0now", takes_off},
      {"Camera filter\u200Boff", takes_off},
      {"Camera fil\u200Dter of\u200Df", takes_off},
      {"Camera fil\u00ADter o\u00ADff", takes_off},
      {"Camera filter off\u2060", takes_off},
      {"Camera filter\u3000off", takes_off},
      {"\u202ECamera filter off", takes_off},
      {"Camera filter\u3164off", takes_off},
      {"f i l t e r o f f", takes_off},
      {"F.I.L.T.E.R. o-f-f", takes_off},
      // full width, mathematical bold, ligatures, accents put on, other alphabets' letters
      {"\uFF26\uFF29\uFF2C\uFF34\uFF25\uFF32 \uFF2F\uFF26\uFF26", takes_off},
      {"\U0001D41F\U0001D422\U0001D425\U0001D42D\U0001D41E\U0001D42B off", takes_off},
      {"filter o\uFB00", takes_off},
      {"fi\u0301lte\u0308r o\u0300ff", takes_off},
      {"f\u00EDlter \u00F3ff", takes_off},
      {"filt\u0435r \u043Eff", takes_off},  // CYRILLIC SMALL LETTER IE and O
      {"filter \u03BFff", takes_off},       // GREEK SMALL LETTER OMICRON
      {"\uA730\u026A\u029F\u1D1B\u1D07\u0280 off", takes_off},
      {"It is safe to look", safety},
      {"SAFE", safety},
      {"s\u200Ba\u200Bfe", safety},
      {"\u0455afe now", safety},  // CYRILLIC SMALL LETTER DZE
      {"Look into the Sun now, no harm", safety},
      {"Harmless from here on", safety},
      {"No danger now", safety},
      {"It won't hurt", safety},
      {"Look at the Sun", looking},
      {"Look into the Sun", looking},
      {"Stare at the  SUN", looking},
      {"Watch the Sun", looking},
      {"The Sun: glance up", looking},
      {"Gazing at the crescent", looking},
      {"Watch the eclipse", looking},
      {"You may look now", looking},
      {"OK to look", looking},
      {"With the naked eye", looking},
      {"Glasses off", eyes},
      {"Shades down", eyes},
      {"Take off your eclipse glasses", eyes},
      {"No goggles", eyes},
  };
  return all;
}

/// What separates, adorns or isn't seen at all.
std::string anything_but_letters() {
  return *rc::gen::element<std::string>(
      " ", "  ", "\t", ".", ", ", "-", "_", "'", "!", "*", "\u00A0", "\u2014", "\u2003", "\u200B", "\u200C",
      "\u200D", "\u200E", "\u00AD", "\u2060", "\u2028", "\u202E", "\u2066", "\u061C", "\uFEFF", "\u034F",
      "\u3164", "\uFE0F", "\u0301", "\u0338", "\u3000", "\u2026", "\U000E0041", "\U0001F576", "\xFF");
}

std::vector<std::string> characters(const std::string& text) {
  std::vector<std::string> all;
  for (const char byte : text) {
    if ((static_cast<unsigned char>(byte) & 0xC0U) != 0x80U) all.emplace_back();
    all.back() += byte;
  }
  return all;
}

}  // namespace

TEST_CASE("words that take a filter off, make light of the Sun or invite to look at it are refused") {
  for (const auto& [words, why] : refused()) {
    CAPTURE(words);
    CHECK(std::string{why_not_a_cue(words)} == why);
  }
}

TEST_CASE("words about the camera, the sky and the clock are free") {
  for (const auto* words : {
           "Halfway",
           "Halfway, look up",
           "Five minutes. Sit down and look up.",
           "Ten minutes to first contact. Cards and batteries.",
           "One minute to the ring. Filters stay on.",
           "The middle of the eclipse. Filters stay on.",
           "Lens caps off",
           "Cap off, filter on",
           "Cap off; filter on.",
           "CAPS OFF \u2014 FILTERS ON",
           "Camera filter on, lens cap off",
           "Is the filter on",
           "Camera filter back on",
           "Office filter check",
           "Centre the Sun",
           "Hands off",
           "Danger of dew: warm the lens",
           "Take the spare card",
           "Sunday, watch the clock",
           "aim again and focus",
           "crescent in",
           "diamond out",
           "ring closes",
           "H\u03B1",
           "shadow comes",
           "\u671B\u9060",
           "tele\u00F3bjectif",
       }) {
    CAPTURE(words);
    CHECK(why_not_a_cue(words) == "");
  }
}

TEST_CASE("whatever is put between or into the letters of refused words, they stay refused") {
  CHECK(rc::check([] {
    const auto sentence = *rc::gen::elementOf(refused());
    std::string written;
    for (const auto& character : characters(sentence.words)) {
      for (int n = *rc::gen::inRange(0, 3); n > 0; --n) written += anything_but_letters();
      written += character;
    }
    RC_LOG() << written;
    RC_ASSERT(!why_not_a_cue(written).empty());
  }));
}

TEST_CASE("a filter's own cue names the filter, and says nothing else that is refused") {
  CHECK(why_not_a_filter_off_cue("Camera filter off at long") == "");
  CHECK(why_not_a_filter_off_cue("FILTERS off") == "");
  CHECK(why_not_a_filter_off_cue("Take it off") == "doesn't name the filter");
  CHECK(why_not_a_filter_off_cue("Filter off, SAFE now") == safety);
  CHECK(why_not_a_filter_off_cue("Filter off, look  at the\tsun") == looking);
  CHECK(why_not_a_filter_off_cue("Filter and glasses off") == eyes);
  CHECK(why_not_a_filter_on_cue("Camera filter on") == "");
  CHECK(why_not_a_filter_on_cue("Totality is over: put the filter back on") == "");
  CHECK(why_not_a_filter_on_cue("Camera filter off") == "would take the filter off where it goes back on");
  CHECK(why_not_a_filter_on_cue("Remove the filter") == "would take the filter off where it goes back on");
}

TEST_CASE("names of rigs and steps are spoken, so they are held to the same rule") {
  const auto with_rig_named = [](const char* name) {
    return errors_of(
        fmt::format("noonfall: 1\n"
                    "eclipse: 2027-08-02\n"
                    "site: {{latitude: 1, longitude: 1, elevation: 1 m}}\n"
                    "rigs:\n"
                    "  {}: {{body: by hand, lens: {{focal_length: 600 mm}}, filter: {{}}}}\n"
                    "steps:\n"
                    "  - {{name: a, rigs: all, subject: beads, at: C2}}\n",
                    name));
  };
  CHECK(with_rig_named("long") == "no errors\n");
  CHECK(with_rig_named("T") == "no errors\n");
  CHECK(with_rig_named("filters\u200Boff").find("would take a filter off") != std::string::npos);
  // "Camera filter back on, off."
  CHECK(with_rig_named("\"Off\"").find("\"Off\" would take a filter off") != std::string::npos);
  CHECK(errors_of(with_step("{name: camera filter off, rig: long, subject: beads, at: C2}"))
            .find("\"camera filter off\" would take a filter off outside its window's own cue: cues quote "
                  "names") != std::string::npos);
  CHECK(errors_of(with_step("{name: look into the Sun, hands: long, from: C2, until: C3}"))
            .find("looking at the Sun") != std::string::npos);
}

}  // namespace noonfall::plan
