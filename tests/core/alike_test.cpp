// Frames that are like the one before: the same bytes but for the figures of their one number.
#include <catch2/catch.hpp>

#include <random>
#include <string>

#include <fmt/format.h>

#include "core/alike.hpp"

namespace halfturn::test {
namespace {

const std::string behind(Alike::bytes_behind, '\n');

// What a frame after `first` (whose number is given) is read as, when it is like it.
std::optional<Decimal> after(const std::string& first, std::string_view number, const std::string& next) {
    const std::string unread = first + next + behind;
    const Alike alike(unread, first.size(), parse_decimal(number, DecimalMark::either)->value);
    Decimal value;
    if (!alike.next(std::string_view(unread).substr(first.size()), value)) return {};
    return value;
}

}  // namespace

TEST_CASE("a frame with other figures is read as its number is") {
    CHECK(after("12.34 mm\r", "12.34", "56.78 mm\r") == Decimal{5678, -2});
    CHECK(after("\n-0.05 mm\r", "-0.05", "\n-7.00 mm\r") == Decimal{-7, 0});
    CHECK(after("ST,GS,+00123,4 N\r", "123.4", "ST,GS,+90000,0 N\r") == Decimal{9, 4});
    CHECK(after("5\r", "5", "8\r") == Decimal{8, 0});
    CHECK(after("1234567.8\n", "1234567.8", "0000000.1\n") == Decimal{1, -1});
    CHECK(after(std::string(23, ' ') + "1234.5678", "1234.5678", std::string(23, ' ') + "8765.4321") == Decimal{87654321, -4});
}

TEST_CASE("zeros alone and nines alone are no frame like another") {
    CHECK_FALSE(after("12.34 mm\r", "12.34", "00.00 mm\r"));
    CHECK_FALSE(after("12.34 mm\r", "12.34", "99.99 mm\r"));
    CHECK(after("12.34 mm\r", "12.34", "99.90 mm\r") == Decimal{999, -1});
    CHECK_FALSE(after("00.00 mm\r", "0", "12.34 mm\r"));
}

TEST_CASE("what is not one short number, the value's own, is never alike") {
    CHECK_FALSE(after("1 +12.34 mm\r", "12.34", "1 +12.34 mm\r"));       // two numbers
    CHECK_FALSE(after("12.34.5 mm\r", "12.34", "12.34.5 mm\r"));
    CHECK_FALSE(after("12:34 mm\r", "12.34", "12:34 mm\r"));             // no mark
    CHECK_FALSE(after("123456789 mm\r", "123456789", "123456789 mm\r"));  // too many figures
    CHECK_FALSE(after("12.34 mm\r", "1.234", "12.34 mm\r"));             // its value comes from elsewhere
    CHECK_FALSE(after("12.34 \xB5m\r", "12.34", "12.34 \xB5m\r"));       // more than seven bits
    CHECK_FALSE(after(std::string(24, ' ') + "1234.5678", "1234.5678", std::string(24, ' ') + "1234.5678"));  // too long
    CHECK_FALSE(after("mm\r", "1", "mm\r"));
}

TEST_CASE("with any one byte changed a frame is alike only if a figure became another") {
    for (const std::string frame : {"12.34 mm\r", "\n-1600\r", "ST,GS,+00123.4 N\r", "S S     100.25 g\r\n"}) {
        const std::size_t begin = frame.find_first_of("0123456789"), end = frame.find_last_of("0123456789") + 1;
        const std::string number = frame.substr(begin, end - begin);
        const bool minus = frame[begin - (begin > 0)] == '-';
        for (std::size_t at = 0; at < frame.size(); ++at)
            for (int byte = 0; byte < 256; ++byte) {
                std::string other = frame;
                other[at] = static_cast<char>(byte);
                const bool figure = frame[at] >= '0' && frame[at] <= '9' && byte >= '0' && byte <= '9';
                const std::string others = (minus ? "-" : "") + other.substr(begin, end - begin);
                INFO(frame << " byte " << at << " is " << byte);
                const auto read = after(frame, (minus ? "-" : "") + number, other);
                CHECK(read.has_value() == (figure || other == frame));
                if (read) CHECK(*read == parse_decimal(others)->value);
            }
    }
}

TEST_CASE("every number of up to eight figures is read as the strict way reads it") {
    std::mt19937 gen(11);
    const auto below = [&](int end) { return std::uniform_int_distribution<int>(0, end - 1)(gen); };
    for (int round = 0; round < 100'000; ++round) {
        const int count = 1 + below(8), decimals = below(count);
        const auto figures = [&] {
            std::string text;
            for (int i = 0; i < count; ++i) text += static_cast<char>('0' + (below(3) == 0 ? 0 : below(10)));
            if (decimals > 0) text.insert(text.size() - static_cast<std::size_t>(decimals), 1, '.');
            return text;
        };
        const std::string before(static_cast<std::size_t>(below(9)), ' '), first = figures(), second = figures();
        const auto read = after(before + first + " N\r", first, before + second + " N\r");
        const bool only_zeros_or_nines =
            second.find_first_not_of("0.") == std::string::npos || second.find_first_not_of("9.") == std::string::npos;
        const bool from_such = first.find_first_not_of("0.") == std::string::npos || first.find_first_not_of("9.") == std::string::npos;
        INFO(first << " then " << second);
        if (only_zeros_or_nines || from_such) REQUIRE_FALSE(read);
        else REQUIRE(read == parse_decimal(second)->value);
    }
}

TEST_CASE("without enough bytes behind it a frame is left to be taken") {
    const std::string unread = "12.34 mm\r12.35 mm\r" + behind;
    Decimal value;
    const Alike alike(unread, 9, {1234, -2});
    CHECK(alike.next(std::string_view(unread).substr(9), value));
    CHECK_FALSE(alike.next(std::string_view(unread).substr(9, 9 + Alike::bytes_behind - 1), value));
    CHECK_FALSE(Alike(std::string_view(unread).substr(0, 9), 9, {1234, -2}).next(std::string_view(unread).substr(9), value));
}

}  // namespace halfturn::test
