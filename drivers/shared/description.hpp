// An instrument described in a TOML text instead of code: a one-off ASCII instrument or a map of Modbus registers, so that a
// mechanic can add one without compiling. drivers/described.cpp shows every key. Not a format itself.
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/format.hpp"
#include "drivers/shared/modbus.hpp"

namespace halfturn {

// What a status word may mean: how the value is to be taken, or a fault.
struct Meaning {
    std::optional<FaultCode> fault;
    std::optional<bool> stable;
    Kind kind = Kind::none;
    Limit judged = Limit::none;
    bool minus = false;
};
using Words = std::map<std::string, Meaning, std::less<>>;

// One piece of a line's pattern.
struct Piece {
    enum class Is : std::uint8_t { literal, blanks, value, unit, channel, skip, rest, check_xor, word };
    Is is = Is::literal;
    std::string text;       // a literal, or the name of a table of words
    std::size_t width = 0;  // 0: as far as it reaches
};

// One shape a line may have.
struct LineForm {
    std::vector<Piece> pieces;
    std::optional<FaultCode> fault;  // the whole line means this
    bool info = false;               // the whole line is only said
    std::string channel;
};

struct LineMap {
    std::optional<char> end;     // instead of CR or LF
    std::size_t longest = 80;
    int decimals = 0;            // of a value printed without a mark
    DecimalMark mark = DecimalMark::point;
    std::size_t check_from = 0;  // first character that the check covers
    std::vector<LineForm> forms;
    std::map<std::string, Words, std::less<>> words;
    std::map<std::string, Unit, std::less<>> units;
};

enum class RegisterType : std::uint8_t { int16, uint16, int32, uint32, float32 };

struct RegisterValue {
    std::size_t place = 0;  // byte in the answer's data
    RegisterType type = RegisterType::int16;
    modbus::Order order = modbus::Order::abcd;
    int decimals = 0;
    std::optional<std::size_t> decimals_place;  // a register that tells the decimals …
    unsigned decimals_mask = 0xFFFF;            // … in these bits
    std::optional<std::size_t> sign_place;      // a register with a sign flag …
    unsigned sign_mask = 0;                     // … in this bit
    std::string channel;
};

struct RegisterStatus {
    std::size_t place = 0;
    unsigned mask = 0xFFFF;
    std::optional<unsigned> equals;  // else: any bit of the mask
    Meaning meaning;
    std::string name;
};

struct RegisterMap {
    int slave = 1, function = 3, address = 0, registers = 2;
    std::vector<RegisterValue> values;
    std::vector<RegisterStatus> status;
};

struct Description {
    std::string title;
    Quantity measures = Quantity::none;
    Unit unit = Unit::none;  // where the wire has none
    LineSettings line;
    std::string poll;
    double poll_every_s = 0, silence_s = 1, lag_s = 0.1;
    std::optional<LineMap> lines;
    std::optional<RegisterMap> registers;
};

// Throws BadInput naming `name`, line and key.
Description read_description(std::string_view toml, const std::string& name);

// The descriptions that come with the program, by name (the file's name without .toml).
const std::map<std::string_view, std::string_view>& shipped_descriptions();

// Reads one line by the map: the first form that fits whole gives its items; a reject when none does.
void read_described_line(const LineMap& map, Unit unit, std::string_view text, Items& items);

// Reads the data of one answer; it has 2 x registers bytes.
void read_registers(const RegisterMap& map, Unit unit, std::string_view data, Items& items);

}  // namespace halfturn
