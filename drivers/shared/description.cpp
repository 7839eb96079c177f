#include "drivers/shared/description.hpp"

#include <algorithm>

#include "core/failure.hpp"
#include "drivers/shared/words.hpp"
#include "files/checked_table.hpp"

namespace halfturn {
namespace {

constexpr std::size_t longest_line = 400;
constexpr std::size_t register_bytes = 2;

Meaning meaning_of(const CheckedTable& table, const std::string& key) {
    const std::string word = table.text(key);
    Meaning meaning;
    if (word == "good" || word == "plus") return meaning;
    if (word == "minus") meaning.minus = true;
    else if (word == "stable" || word == "unstable") meaning.stable = word == "stable";
    else if (word == "gross") meaning.kind = Kind::gross;
    else if (word == "net") meaning.kind = Kind::net;
    else if (word == "tare") meaning.kind = Kind::tare;
    else if (word == "peak") meaning.kind = Kind::peak;
    else if (word == "live") meaning.kind = Kind::live;
    else if (word == "under") meaning.judged = Limit::under;
    else if (word == "go") meaning.judged = Limit::go;
    else if (word == "over") meaning.judged = Limit::over;
    else if (const auto fault = fault_from_name(word)) meaning.fault = fault;
    else
        throw table.error(key, "must be good, plus, minus, stable, unstable, gross, net, tare, peak, live, under, go, over or the code "
                               "of a fault, as overload");
    return meaning;
}

FaultCode fault_of(const CheckedTable& table, std::string_view key, const std::string& word) {
    if (const auto fault = fault_from_name(word)) return *fault;
    throw table.error(key, "must be the code of a fault, as overload, sensor or device_error");
}

// "{value:6}" and the like; everything else stands for itself. "{ }" is any number of blanks.
std::vector<Piece> pieces_of(const CheckedTable& table, const std::string& pattern, const LineMap& map) {
    std::vector<Piece> pieces;
    for (std::size_t at = 0; at < pattern.size();) {
        if (pattern[at] != '{') {
            if (pieces.empty() || pieces.back().is != Piece::Is::literal) pieces.push_back({});
            pieces.back().text += pattern[at++];
            continue;
        }
        const std::size_t close = pattern.find('}', at);
        if (close == std::string::npos) throw table.error("pattern", "has a { without its }");
        std::string name = pattern.substr(at + 1, close - at - 1);
        at = close + 1;
        Piece piece;
        if (const auto colon = name.find(':'); colon != std::string::npos) {
            const auto width = parse_digits(std::string_view(name).substr(colon + 1));
            if (!width || *width == 0 || *width > longest_line)
                throw table.error("pattern", "has a width in {" + name + "} that is no number of characters");
            piece.width = static_cast<std::size_t>(*width);
            name.resize(colon);
        }
        const auto needs_width = [&] {
            if (piece.width == 0) throw table.error("pattern", "needs a width in {" + name + "}, as {" + name + ":1}");
        };
        if (name == " ") piece.is = Piece::Is::blanks;
        else if (name == "value") piece.is = Piece::Is::value;
        else if (name == "unit") piece.is = Piece::Is::unit;
        else if (name == "rest") piece.is = Piece::Is::rest;
        else if (name == "check-xor") {
            piece.is = Piece::Is::check_xor;
            needs_width();
            if (piece.width > 2)
                throw table.error("pattern", "can have {check-xor:1} (one byte) or {check-xor:2} (two hexadecimal digits)");
        } else {
            needs_width();
            piece.is = name == "channel" ? Piece::Is::channel : name == "skip" ? Piece::Is::skip : Piece::Is::word;
            if (piece.is == Piece::Is::word && !map.words.contains(name))
                throw table.error("pattern", "names {" + name + "}, but there is no table [words." + name +
                                                 "]; fields are value, unit, channel, skip, rest, check-xor and tables of words");
            piece.text = name;
        }
        pieces.push_back(piece);
    }
    return pieces;
}

// Whether one of its words may say that no value can be used.
bool may_mean_fault(const LineForm& form, const LineMap& map) {
    return std::any_of(form.pieces.begin(), form.pieces.end(), [&](const Piece& piece) {
        if (piece.is != Piece::Is::word) return false;
        const Words& words = map.words.at(piece.text);
        return std::any_of(words.begin(), words.end(),
                           [](const auto& word) { return word.second.fault && !is_advisory(*word.second.fault); });
    });
}

LineMap read_lines(const CheckedTable& root) {
    LineMap map;
    const CheckedTable lines = root.table("lines");
    if (const auto end = lines.text_if("end")) {
        if (end->size() != 1) throw lines.error("end", "must be one character, as \"\\u0003\"");
        map.end = end->front();
    }
    map.longest = static_cast<std::size_t>(lines.integer_if("longest", 4, static_cast<std::int64_t>(longest_line)).value_or(80));
    map.decimals = static_cast<int>(lines.integer_if("decimals", 0, 9).value_or(0));
    map.check_from = static_cast<std::size_t>(lines.integer_if("check_from", 0, 10).value_or(0));
    if (const auto mark = lines.choice_if("decimal", {"point", "comma", "auto"}))
        map.mark = *mark == "point" ? DecimalMark::point : *mark == "comma" ? DecimalMark::comma : DecimalMark::either;
    const CheckedTable words = root.table("words");
    for (const auto& name : words.keys()) {
        const CheckedTable table = words.table(name);
        for (const auto& key : table.keys()) map.words[name][key] = meaning_of(table, key);
    }
    const CheckedTable units = root.table("units");
    for (const auto& key : units.keys()) {
        const auto unit = unit_from_name(units.text(key));
        if (!unit) throw units.error(key, "must be a unit, as N, kN, kgf, lbf, kg, mm, in or counts");
        map.units[key] = *unit;
    }
    const auto forms = root.tables("form");
    if (forms.empty()) throw root.error("form", "is missing: give at least one [[form]] with a pattern");
    for (const auto& form : forms) {
        LineForm read;
        read.pieces = pieces_of(form, form.text("pattern"), map);
        if (const auto fault = form.text_if("fault")) read.fault = fault_of(form, "fault", *fault);
        read.info = form.boolean_if("info").value_or(false);
        read.channel = form.text_if("channel").value_or("");
        const auto values = std::count_if(read.pieces.begin(), read.pieces.end(), [](const Piece& p) { return p.is == Piece::Is::value; });
        if (values > 1) throw form.error("pattern", "may hold one {value}");
        if (values == 0 && !read.fault && !read.info && !may_mean_fault(read, map))
            throw form.error("pattern", "has no {value}: add one, or a table of words that names a fault, or say fault = \"…\" or "
                                        "info = true");
        map.forms.push_back(std::move(read));
    }
    return map;
}

std::size_t place_of(const CheckedTable& table, std::string_view key, std::int64_t value, const RegisterMap& map, std::size_t bytes) {
    const auto place = static_cast<std::size_t>(value) * register_bytes;
    if (place + bytes > static_cast<std::size_t>(map.registers) * register_bytes)
        throw table.error(key, "must lie inside the " + std::to_string(map.registers) + " registers that are read, counted from 0");
    return place;
}

RegisterValue read_value(const CheckedTable& table, const RegisterMap& map) {
    RegisterValue value;
    const std::string type = table.choice("type", {"int16", "uint16", "int32", "uint32", "float32"});
    value.type = type == "int16"    ? RegisterType::int16
                 : type == "uint16" ? RegisterType::uint16
                 : type == "int32"  ? RegisterType::int32
                 : type == "uint32" ? RegisterType::uint32
                                    : RegisterType::float32;
    const bool one_register = value.type == RegisterType::int16 || value.type == RegisterType::uint16;
    const auto first = table.integer_if("register", 0, 124);
    if (!first) throw table.error("register", "is missing: give the value's first register, counted from the first that is read");
    value.place = place_of(table, "register", *first, map, one_register ? 2 : 4);
    if (!one_register) {
        const std::string order = table.choice("order", {"abcd", "cdab", "badc", "dcba"});
        for (std::size_t i = 0; i < 4; ++i)
            if (modbus::order_names[i] == order) value.order = static_cast<modbus::Order>(i);
    }
    value.decimals = static_cast<int>(table.integer_if("decimals", 0, 9).value_or(0));
    if (const auto place = table.integer_if("decimals_register", 0, 124)) {
        value.decimals_place = place_of(table, "decimals_register", *place, map, 2);
        value.decimals_mask = static_cast<unsigned>(table.integer_if("decimals_mask", 1, 0xFFFF).value_or(0xFFFF));
    }
    if (const auto place = table.integer_if("sign_register", 0, 124)) {
        value.sign_place = place_of(table, "sign_register", *place, map, 2);
        value.sign_mask = static_cast<unsigned>(table.integer_if("sign_mask", 1, 0xFFFF).value_or(1));
    }
    value.channel = table.text_if("channel").value_or("");
    return value;
}

RegisterMap read_registers_map(const CheckedTable& root) {
    RegisterMap map;
    const CheckedTable table = root.table("modbus");
    map.slave = static_cast<int>(table.integer_if("slave", 1, 247).value_or(1));
    map.function = static_cast<int>(table.integer_if("function", 3, 4).value_or(3));
    map.address = static_cast<int>(table.integer_if("address", 0, 65535).value_or(0));
    const auto registers = table.integer_if("registers", 1, 125);
    if (!registers) throw table.error("registers", "is missing: give how many are read in one request, value and status together");
    map.registers = static_cast<int>(*registers);
    for (const auto& value : root.tables("value")) map.values.push_back(read_value(value, map));
    if (map.values.empty()) throw root.error("value", "is missing: give at least one [[value]]");
    for (const auto& status : root.tables("status")) {
        RegisterStatus read;
        const auto place = status.integer_if("register", 0, 124);
        if (!place) throw status.error("register", "is missing: give the status register, counted from the first that is read");
        read.place = place_of(status, "register", *place, map, 2);
        read.mask = static_cast<unsigned>(status.integer_if("mask", 1, 0xFFFF).value_or(0xFFFF));
        if (const auto equals = status.integer_if("equals", 0, 0xFFFF)) read.equals = static_cast<unsigned>(*equals);
        read.meaning = meaning_of(status, "means");
        read.name = status.text("means");
        map.status.push_back(std::move(read));
    }
    return map;
}

}  // namespace

Description read_description(std::string_view toml, const std::string& name) {
    const CheckedTable root = CheckedTable::from_text(toml, name);
    Description description;
    description.title = root.text("title");
    root.text_if("source");
    const std::string measures = root.choice("measures", {"length", "force", "counts"});
    description.measures = measures == "length" ? Quantity::length : measures == "force" ? Quantity::force : Quantity::counts;
    if (const auto unit = root.text_if("unit")) {
        const auto known = unit_from_name(*unit);
        if (!known) throw root.error("unit", "must be a unit, as N, kN, kgf, lbf, kg, mm, in or counts");
        description.unit = *known;
    }
    const CheckedTable serial = root.table("serial");
    description.line.baud = static_cast<int>(serial.integer_if("baud", 50, 4'000'000).value_or(9600));
    description.line.bits = static_cast<int>(serial.integer_if("bits", 7, 8).value_or(8));
    description.line.stop = static_cast<int>(serial.integer_if("stop", 1, 2).value_or(1));
    if (const auto parity = serial.choice_if("parity", {"none", "even", "odd"}))
        description.line.parity = *parity == "none" ? Parity::none : *parity == "even" ? Parity::even : Parity::odd;
    description.line.dtr = serial.boolean_if("dtr").value_or(true);
    description.line.rts = serial.boolean_if("rts").value_or(true);
    const CheckedTable poll = root.table("poll");
    description.poll = poll.text_if("send").value_or("");
    description.poll_every_s = poll.number_if("every_s", 0.001, 60).value_or(0.1);
    description.silence_s = root.number_if("silence_s", 0, 3600).value_or(1);
    description.lag_s = root.number_if("lag_s", 0, 10).value_or(0.1);
    if (root.has("modbus")) description.registers = read_registers_map(root);
    else description.lines = read_lines(root);
    root.refuse_unknown_keys();
    return description;
}

}  // namespace halfturn
