// Numbers exactly as instruments print them.
#include <array>
#include <bit>
#include <catch2/catch.hpp>

#include <string>

#include "core/decimal.hpp"
#include "core/number_text.hpp"
#include "core/put_number.hpp"
#include "core/unit.hpp"

namespace halfturn::test {

TEST_CASE("decimals keep what was printed") {
    CHECK(parse_decimal("+0012.340")->value == Decimal{1234, -2});
    CHECK(parse_decimal("+0012.340")->decimals == 3);
    CHECK(parse_decimal("100.0")->value == Decimal{1, 2});
    CHECK(parse_decimal("10.50")->value == Decimal{105, -1});
    CHECK(parse_decimal("-0.00")->negative_zero);
    CHECK(parse_decimal("-0.00")->value == Decimal{});
    CHECK(!parse_decimal("0.00")->negative_zero);
    CHECK(parse_decimal("-12,5", DecimalMark::comma)->value == Decimal{-125, -1});
    CHECK(parse_decimal("12,5", DecimalMark::either)->used_comma);
    CHECK(parse_decimal("999999999999999999")->value.digits == 999999999999999999);
    CHECK(parse_decimal("0.000000000000000000000000000001")->value == Decimal{1, -30});
    for (const auto* bad : {"", "+", "-", ".", ".5", "5.", "+-5", "5-", "1.2.3", "1,2", " 5", "5 ", "1e5", "0x1", "nan",
                            "1234567890123456789", "1.2e"})
        CHECK(!parse_decimal(bad));
    CHECK(!parse_decimal("12.5", DecimalMark::comma));
    CHECK(!parse_decimal(std::string(100, '0')));
}

TEST_CASE("a decimal at the front of a text") {
    const auto take = [](std::string_view text, DecimalMark mark = DecimalMark::point) {
        const auto parsed = take_decimal(text, mark);
        return (parsed ? to_text(parsed->value) : "none") + "|" + std::string(text);
    };
    CHECK(take("12.5 mm") == "12.5| mm");
    CHECK(take("12,GS", DecimalMark::either) == "12|,GS");
    CHECK(take("12.") == "12|.");
    CHECK(take("1.2.3") == "1.2|.3");
    CHECK(take("mm") == "none|mm");
    CHECK(take("+mm") == "none|+mm");
    CHECK(take("1234567890123456789") == "none|1234567890123456789");
}

TEST_CASE("decimals as text") {
    for (const auto* text : {"0", "5", "-5", "0.005", "-0.005", "12.34", "1200", "-1200", "0.1"})
        CHECK(to_text(parse_decimal(text)->value) == text);
    CHECK(to_text({12, 3}) == "12000");
    CHECK(to_double({1234, -2}) == 12.34);
    CHECK(to_double({-5, 3}) == -5000.0);
}

TEST_CASE("units as instruments spell them") {
    CHECK(unit_from_wire(" KG ") == Unit::kg);
    CHECK(unit_from_wire("lbF") == Unit::lbf);
    CHECK(unit_from_wire("inches") == Unit::in);
    CHECK(unit_from_wire("lbs") == Unit::lb);
    CHECK(unit_from_wire("PC") == Unit::pcs);
    for (const auto* bad : {"", "  ", "m", "kgg", "k g", "ton", "inchess", "NN"}) CHECK(!unit_from_wire(bad));
    // Every name of the contracts is read both as a setting and on the wire.
    for (int i = 1; i <= static_cast<int>(Unit::turns); ++i) {
        const auto unit = static_cast<Unit>(i);
        CHECK(unit_from_name(unit_name(unit)) == unit);
        CHECK(unit_from_wire(unit_name(unit)) == unit);
    }
    CHECK(!unit_from_name("cfg"));
    CHECK(!unit_from_name("KG"));
}

TEST_CASE("a number's text put into a table is the shortest that reads back") {
    std::uint64_t state = 7;
    const auto check = [](double value) {
        std::array<char, most_number_text> text;
        REQUIRE(std::string(text.data(), put_number_text(text.data(), value)) == number_text(value));
    };
    for (int i = 0; i < 200'000; ++i) {
        state = state * 6364136223846793005u + 1442695040888963407u;
        const auto digits = static_cast<std::int64_t>(state >> (i % 60)) >> 4;
        check(static_cast<double>(digits) / std::array{1.0, 10.0, 1e2, 1e3, 1e5, 1e6, 1e7, 1e9}[static_cast<std::size_t>(i) % 8]);
        check(std::bit_cast<double>(state));
        check(static_cast<double>(i) / 3);
    }
    for (const double value : {0.0, -0.0, 1e-6, -1e-6, 1e-7, 99999999.999999, 1e8, 1e14, 1e15, 0.1 + 0.2, 5e-324, 1e308,
                               -1.2345678901234567e-5, -123456789012345.67})
        check(value);
}

TEST_CASE("whole and part of a decimal as text, without zeros at its end") {
    std::array<char, most_number_text> text;
    const auto of = [&](std::uint64_t whole, std::uint64_t part, int decimals) {
        return std::string(text.data(), put_decimal_text(text.data(), whole, part, decimals));
    };
    CHECK(of(0, 0, 8) == "0");
    CHECK(of(12, 0, 8) == "12");
    CHECK(of(9, 50'000'000, 8) == "9.5");
    CHECK(of(1234567, 1, 8) == "1234567.00000001");
    CHECK(of(10, 100, 6) == "10.0001");
    CHECK(of(18'446'744'073'709'551'615u, 9'999'999'999, 10) == "18446744073709551615.9999999999");
}

}  // namespace halfturn::test
