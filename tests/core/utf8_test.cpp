// What a message may show of somebody's bytes.
#include <catch2/catch.hpp>

#include "core/utf8.hpp"

using namespace halfturn;

TEST_CASE("bytes shown in a message are printable, on one line and short") {
    CHECK(shown("t_s, force") == "t_s, force");
    CHECK(shown("a\x1b[2J\nb") == "a?[2J?b");
    CHECK(shown("\xFF\xFE") == "\xEF\xBF\xBD\xEF\xBF\xBD");
    CHECK(columns(shown(std::string(5000, 'x'))) == 61);
    CHECK(is_utf8(shown(std::string(200, '\xC3'))));
}
