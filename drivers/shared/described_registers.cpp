#include "drivers/shared/description.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {
namespace {

unsigned register_at(std::string_view data, std::size_t place) {
    return static_cast<unsigned>(static_cast<unsigned char>(data[place])) << 8 | static_cast<unsigned char>(data[place + 1]);
}

unsigned shifted_down(unsigned value, unsigned mask) {
    while ((mask & 1) == 0) {
        mask >>= 1;
        value >>= 1;
    }
    return value;
}

std::optional<ParsedDecimal> value_of(const RegisterValue& value, std::string_view data) {
    ParsedDecimal parsed;
    switch (value.type) {
        case RegisterType::int16: parsed.value = normalised(static_cast<std::int16_t>(register_at(data, value.place)), 0); break;
        case RegisterType::uint16: parsed.value = normalised(register_at(data, value.place), 0); break;
        case RegisterType::int32:
            parsed.value = normalised(static_cast<std::int32_t>(modbus::ordered(data.substr(value.place, 4), value.order)), 0);
            break;
        case RegisterType::uint32: parsed.value = normalised(modbus::ordered(data.substr(value.place, 4), value.order), 0); break;
        case RegisterType::float32: {
            const std::uint32_t bits = modbus::ordered(data.substr(value.place, 4), value.order);
            const auto decimal = modbus::float_decimal(bits);
            if (!decimal) return {};
            parsed.value = *decimal;
            parsed.negative_zero = bits == 0x80000000u;
            break;
        }
    }
    unsigned decimals = static_cast<unsigned>(value.decimals);
    if (value.decimals_place)
        decimals = shifted_down(register_at(data, *value.decimals_place) & value.decimals_mask, value.decimals_mask);
    if (decimals > 9) return {};
    if (parsed.value.digits != 0) parsed.value.exponent = static_cast<std::int8_t>(parsed.value.exponent - static_cast<int>(decimals));
    parsed.decimals = static_cast<int>(decimals);
    if (value.sign_place && (register_at(data, *value.sign_place) & value.sign_mask) != 0) parsed.value.digits = -parsed.value.digits;
    return parsed;
}

}  // namespace

void read_registers(const RegisterMap& map, Unit unit, std::string_view data, Items& items) {
    Meaning all;
    for (const RegisterStatus& status : map.status) {
        const unsigned bits = register_at(data, status.place) & status.mask;
        if (status.equals ? bits != *status.equals : bits == 0) continue;
        if (status.meaning.fault && !is_advisory(*status.meaning.fault))
            return add_fault(items, *status.meaning.fault, "register " + std::to_string(status.place / 2) + " = " + std::to_string(bits));
        if (status.meaning.fault) add_fault(items, *status.meaning.fault, status.name);
        if (status.meaning.stable) all.stable = status.meaning.stable;
        if (status.meaning.kind != Kind::none) all.kind = status.meaning.kind;
        if (status.meaning.judged != Limit::none) all.judged = status.meaning.judged;
        all.minus = all.minus || status.meaning.minus;
    }
    for (const RegisterValue& value : map.values) {
        auto parsed = value_of(value, data);
        if (!parsed) {
            add_fault(items, FaultCode::not_a_number, "", ChannelName(value.channel));
            continue;
        }
        if (all.minus) parsed->value.digits = -parsed->value.digits;
        Reading& reading = add_reading_in_set_unit(items, *parsed, unit);
        reading.channel = ChannelName(value.channel);
        reading.stable = all.stable;
        reading.kind = all.kind;
        reading.judged = all.judged;
    }
}

}  // namespace halfturn
