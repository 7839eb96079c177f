#include "core/calm_text.hpp"

#include <catch2/catch.hpp>

using namespace halfturn;

TEST_CASE("what acts on a terminal becomes a space, what is only seen stays") {
    CHECK(calm_line("wheel 7, Ø28 – „links“ 轴承 é") == "wheel 7, Ø28 – „links“ 轴承 é");
    CHECK(calm_line("\x1B[2J\tnew\nline\x7F") == " [2J new line ");
    CHECK(calm_line("a\u202Eb\u2066c\u2028d\u009Be") == "a[U+202E]b[U+2066]c d e");
    CHECK(calm_line("\u05D0\u200F \u20AC\u061C") == "\u05D0\u200F \u20AC\u061C");  // these turn nothing but what has no direction of its own
    CHECK(calm_lines("one\ntwo\r\n\x07") == "one\ntwo \n ");
    CHECK(calm_lines("a\tb\x01\x7F\u0085\nc\u202Ed\u2069e") == "a b   \nc[U+202E]d[U+2069]e");
    CHECK(calm_line("\xFF") == "\xEF\xBF\xBD");
}
