// The Modbus check, against values printed elsewhere.
#include <catch2/catch.hpp>

#include "drivers/shared/modbus.hpp"
#include "drivers/shared/scientific.hpp"

namespace halfturn::test {

TEST_CASE("Modbus CRC-16 against published values") {
    using namespace std::string_literals;
    // Modbus over serial line V1.02 appendix B: 02 07 is followed by 41 12 (low byte first).
    CHECK(modbus::crc16("\x02\x07"s) == 0x1241);
    // The check value of this CRC in common catalogues.
    CHECK(modbus::crc16("123456789"s) == 0x4B37);
    CHECK(modbus::crc16("\x01\x03\x00\x00\x00\x0A"s) == 0xCDC5);
    CHECK(modbus::crc16("\x01\x06\x00\x01\x00\x03"s) == 0x0B98);
}

TEST_CASE("the four orders of 123456.0, as in libmodbus' unit tests") {
    using modbus::Order;
    const std::pair<Order, std::string_view> cases[] = {{Order::abcd, std::string_view("\x47\xF1\x20\x00", 4)},
                                                        {Order::cdab, std::string_view("\x20\x00\x47\xF1", 4)},
                                                        {Order::badc, std::string_view("\xF1\x47\x00\x20", 4)},
                                                        {Order::dcba, std::string_view("\x00\x20\xF1\x47", 4)}};
    for (const auto& [order, bytes] : cases) {
        CHECK(modbus::ordered(bytes, order) == 0x47F12000);
        CHECK(to_text(*modbus::float_decimal(modbus::ordered(bytes, order))) == "123456");
    }
    CHECK(!modbus::float_decimal(0x7FC00000));
    CHECK(!modbus::float_decimal(0xFF800000));
    CHECK(to_text(*modbus::float_decimal(0x3DCCCCCD)) == "0.1");
}

TEST_CASE("numbers with exponents stay exact") {
    CHECK(to_text(parse_scientific("+1.23456E+01")->value) == "12.3456");
    CHECK(to_text(parse_scientific("1e-05")->value) == "0.00001");
    CHECK(to_text(parse_scientific("-2.50E3")->value) == "-2500");
    CHECK(parse_scientific("9.9E37")->value == Decimal{99, 36});
    for (const auto* bad : {"", "E5", "1E", "1E+", "1E1.5", ".5", "5.", "1E1000", "1E61", "0x10", "1 E5", "nan", "inf"})
        CHECK(!parse_scientific(bad));
    CHECK(scaled_whole({125, -1}, 6) == 12500000);
    CHECK(scaled_whole({15, -1}, 0) == 2);
    CHECK(scaled_whole({-15, -1}, 0) == -2);
    CHECK(scaled_whole({149, -2}, 0) == 1);
    CHECK(!scaled_whole({1, 18}, 6));
}

}  // namespace halfturn::test
