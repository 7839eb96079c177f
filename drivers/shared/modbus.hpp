// Modbus RTU frames by expected length and check, never by pauses (a USB adapter hides them). Not a format itself.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "core/format.hpp"

namespace halfturn::modbus {

// CRC-16 of the Modbus serial line guide: start FFFF, reflected polynomial A001; sent low byte first.
std::uint16_t crc16(std::string_view bytes);

// "Read holding (3) or input (4) registers", with its check.
std::string read_request(int slave, int function, int address, int registers);

// Byte order of a 32-bit value in two registers, most significant byte a.
enum class Order : std::uint8_t { abcd, cdab, badc, dcba };
constexpr std::string_view order_names[] = {"abcd", "cdab", "badc", "dcba"};
std::uint32_t ordered(std::string_view four_bytes, Order order);

// The shortest decimal that reads back as the same 32-bit float; nothing for NaN and infinities.
std::optional<Decimal> float_decimal(std::uint32_t bits);

// Finds answers in the bytes of a shared line. What is no frame is skipped byte by byte.
class Answers {
public:
    // `slave` 0: whoever was asked first, or anyone. `data_bytes`: of an answer before any request was seen.
    Answers(int slave, std::size_t data_bytes) : slave_(slave), data_bytes_(data_bytes) {}

    void sent(std::string_view bytes, std::size_t unread);

    // As Decoder::take(); `data` is set when an answer with register data was taken.
    std::size_t take(std::string_view head, Items& items, std::optional<std::string_view>& data);

private:
    std::size_t take_one(std::string_view head, Items& items, std::optional<std::string_view>& data);
    bool addressed(std::string_view frame, Items& items) const;

    int slave_;
    std::size_t data_bytes_;
    std::string request_;
    std::size_t before_request_ = 0;  // bytes still to be taken that came before the newest request
    std::size_t refused_left_ = 0;    // bytes still to be taken of the broken frame last told of
    bool in_rubbish_ = false;
};

constexpr std::size_t longest_frame = 256;

}  // namespace halfturn::modbus
