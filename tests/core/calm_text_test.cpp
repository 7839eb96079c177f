#include "core/calm_text.hpp"

#include <catch2/catch.hpp>

using namespace halfturn;

TEST_CASE("what acts on a terminal becomes a space, what is only seen stays") {
    CHECK(calm_line("wheel 7, Ø28 – „links“ 轴承 é") == "wheel 7, Ø28 – „links“ 轴承 é");
    CHECK(calm_line("\x1B[2J\tnew\nline\x7F") == " [2J new line ");
    CHECK(calm_line("a\u202Eb\u2066c\u200Fd\u2028e\u009Bf\u061Cg") == "a b c d e f g");
    CHECK(calm_lines("one\ntwo\r\n\x07") == "one\ntwo \n ");
    CHECK(calm_line("\xFF") == "\xEF\xBF\xBD");
}
