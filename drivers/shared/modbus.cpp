#include "drivers/shared/modbus.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <charconv>
#include <cmath>

#include "drivers/shared/scientific.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn::modbus {
namespace {

unsigned byte_at(std::string_view bytes, std::size_t at) { return static_cast<unsigned char>(bytes[at]); }

bool check_holds(std::string_view frame) {
    const std::size_t body = frame.size() - 2;
    const unsigned printed = byte_at(frame, body) | byte_at(frame, body + 1) << 8;
    return crc16(frame.substr(0, body)) == printed;
}

bool is_read(unsigned function) { return function == 3 || function == 4; }
bool is_write(unsigned function) { return function == 5 || function == 6 || function == 15 || function == 16; }

}  // namespace

std::uint16_t crc16(std::string_view bytes) {
    unsigned crc = 0xFFFF;
    for (const char c : bytes) {
        crc ^= static_cast<unsigned char>(c);
        for (int bit = 0; bit < 8; ++bit) crc = (crc & 1) != 0 ? crc >> 1 ^ 0xA001u : crc >> 1;
    }
    return static_cast<std::uint16_t>(crc);
}

std::string read_request(int slave, int function, int address, int registers) {
    std::string frame;
    for (const int byte : {slave, function, address >> 8, address & 0xFF, registers >> 8, registers & 0xFF})
        frame += static_cast<char>(byte);
    const std::uint16_t crc = crc16(frame);
    frame += static_cast<char>(crc & 0xFF);
    frame += static_cast<char>(crc >> 8);
    return frame;
}

std::uint32_t ordered(std::string_view four_bytes, Order order) {
    static constexpr std::array<std::array<std::size_t, 4>, 4> places = {
        {{0, 1, 2, 3}, {2, 3, 0, 1}, {1, 0, 3, 2}, {3, 2, 1, 0}}};
    std::uint32_t value = 0;
    for (const std::size_t place : places[static_cast<std::size_t>(order)]) value = value << 8 | byte_at(four_bytes, place);
    return value;
}

std::optional<Decimal> float_decimal(std::uint32_t bits) {
    const auto value = std::bit_cast<float>(bits);
    if (!std::isfinite(value)) return {};
    std::array<char, 40> text;
    const auto end = std::to_chars(text.data(), text.data() + text.size(), value, std::chars_format::scientific);
    const auto parsed = parse_scientific({text.data(), static_cast<std::size_t>(end.ptr - text.data())});
    if (!parsed) return {};
    return parsed->value;
}

void Answers::sent(std::string_view bytes, std::size_t unread) {
    if (bytes.size() < 4 || !check_holds(bytes)) return;
    request_ = bytes;
    before_request_ = unread;
    if (unread == 0) in_rubbish_ = false;
    if (slave_ == 0) slave_ = static_cast<int>(byte_at(bytes, 0));
    if (bytes.size() == 8 && is_read(byte_at(bytes, 1))) data_bytes_ = std::size_t{2} * (byte_at(bytes, 4) << 8 | byte_at(bytes, 5));
}

// Another's answer on a shared line is told as such.
bool Answers::addressed(std::string_view frame, Items& items) const {
    if (slave_ == 0 || static_cast<unsigned>(slave_) == byte_at(frame, 0)) return true;
    add_reject(items, "address");
    return false;
}

// Each request has an answer of its own: what comes after one is not the rest of an earlier answer that was refused.
std::size_t Answers::take(std::string_view head, Items& items, std::optional<std::string_view>& data) {
    const std::size_t done = take_one(head, items, data);
    if (done != 0 && done == before_request_) in_rubbish_ = false;
    before_request_ -= std::min(done, before_request_);
    refused_left_ -= std::min(done, refused_left_);
    return done;
}

std::size_t Answers::take_one(std::string_view head, Items& items, std::optional<std::string_view>& data) {
    const auto taken = [&](std::size_t size) {
        in_rubbish_ = false;
        return size;
    };
    if (head.size() < 2) return 0;
    const unsigned slave = byte_at(head, 0), function = byte_at(head, 1);
    const char* refused = "format";
    std::size_t refused_size = 1;
    if (slave >= 1 && slave <= 247) {
        if ((is_read(function & 0x7F) || is_write(function & 0x7F)) && (function & 0x80) != 0) {
            if (head.size() < 5) return 0;
            if (check_holds(head.substr(0, 5))) {
                if (addressed(head, items))
                    add_fault(items, FaultCode::device_error, "exception " + std::to_string(byte_at(head, 2)));
                return taken(5);
            }
            refused = "crc";
            refused_size = 5;
        } else if (is_read(function) || is_write(function)) {
            // An answer of the length that was asked for, or a request seen back through a two-wire adapter.
            if (head.size() < 3) return 0;
            const std::size_t size = 5 + data_bytes_;
            if (is_read(function) && byte_at(head, 2) == data_bytes_) {
                if (head.size() < size) return 0;
                if (check_holds(head.substr(0, size))) {
                    if (addressed(head, items)) data = head.substr(3, data_bytes_);
                    return taken(size);
                }
                refused = "crc";
                refused_size = size;
            }
            if (head.size() < 8) return 0;
            if (check_holds(head.substr(0, 8))) {
                const bool echo = is_read(function) || head.substr(0, 8) == request_;
                if (addressed(head, items)) add_info(items, echo ? "echo" : "ack", "");
                return taken(8);
            }
        }
    }
    // One reject for a run of bytes in one answer that are no frame, and one for each broken frame behind the first. A single 00
    // is what two-wire adapters make when they turn around.
    const bool another = refused_size > 1 && refused_left_ == 0;
    if (slave != 0 && (!in_rubbish_ || another)) {
        add_reject(items, refused);
        in_rubbish_ = true;
        refused_left_ = refused_size;
    }
    return 1;
}

}  // namespace halfturn::modbus
