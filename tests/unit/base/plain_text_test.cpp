// What is shown of text from outside. Characters by their names in the Unicode Character Database.
#include <doctest/doctest.h>

#include <string>

#include "lib/base/plain_text.h"

namespace noonfall {

TEST_CASE("ordinary text of any script is shown as it is") {
  for (const auto* text : {"", "Breakwater, two rigs", "± 0.3 s, 12°", "日食 2035", "Дом", "عين", "e\u0301",
                           "\u2600\uFE0F", "a\u00A0b", "\uFFFD"}) {
    CAPTURE(text);
    CHECK(plain_line(text) == text);
  }
}

TEST_CASE("what commands a terminal or hides is shown as a replacement character") {
  const std::string r = "\uFFFD";
  CHECK(plain_line("a\x1b[2Jb") == "a" + r + "[2Jb");                              // CSI: erase the screen
  CHECK(plain_line("\x1b]8;;http://x\x1b\\y") == r + "]8;;http://x" + r + "\\y");  // OSC 8: a link
  CHECK(plain_line("\u009B31m") == r + "31m");                                     // CSI as one C1 control
  CHECK(plain_line(std::string_view{"a\0b", 3}) == "a" + r + "b");
  CHECK(plain_line("a\nb\rc\x7F") == "a" + r + "b" + r + "c" + r);
  CHECK(plain_line("a\tb") == "a b");
  for (const auto* hidden : {
           "\u00AD",      // SOFT HYPHEN
           "\u061C",      // ARABIC LETTER MARK
           "\u200B",      // ZERO WIDTH SPACE
           "\u200D",      // ZERO WIDTH JOINER
           "\u200F",      // RIGHT-TO-LEFT MARK
           "\u2028",      // LINE SEPARATOR
           "\u2029",      // PARAGRAPH SEPARATOR
           "\u202E",      // RIGHT-TO-LEFT OVERRIDE
           "\u2066",      // LEFT-TO-RIGHT ISOLATE
           "\u2060",      // WORD JOINER
           "\u3164",      // HANGUL FILLER
           "\uFEFF",      // ZERO WIDTH NO-BREAK SPACE
           "\uFFF9",      // INTERLINEAR ANNOTATION ANCHOR
           "\uFDD0",      // the first noncharacter
           "\uFFFF",      // and one of the last two of each plane
           "\U000E0041",  // TAG LATIN CAPITAL LETTER A
       }) {
    CAPTURE(hidden);
    CHECK(plain_line(std::string{"a"} + hidden + "b") == "a" + r + "b");
  }
}

TEST_CASE("each byte that isn't UTF-8 is shown as a replacement character") {
  CHECK(plain_line("a\xFF\xFE") == "a\uFFFD\uFFFD");
  CHECK(plain_line("\xC3") == "\uFFFD");                      // cut short
  CHECK(plain_line("\xC0\x9B") == "\uFFFD\uFFFD");            // ESC's C1 sister, overlong
  CHECK(plain_line("\xED\xA0\x80") == "\uFFFD\uFFFD\uFFFD");  // a surrogate
}

TEST_CASE("text between tags and in attributes has none of the characters that XML 1.0 gives a meaning") {
  CHECK(markup_text("a <b c=\"d\" e='f'> & g\n") ==
        "a &lt;b c=&quot;d&quot; e=&#39;f&#39;&gt; &amp; g\uFFFD");
}

}  // namespace noonfall
