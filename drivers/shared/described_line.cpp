#include <algorithm>

#include "drivers/shared/description.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {
namespace {

// What one form made of a line.
struct Found {
    std::optional<ParsedDecimal> value;
    std::optional<Unit> unit;
    std::optional<FaultCode> fault;
    std::string fault_word;
    std::optional<bool> stable;
    Kind kind = Kind::none;
    Limit judged = Limit::none;
    bool minus = false;
    std::string_view channel;
};

// Exactly these characters: sign, blanks, figures, in this order.
std::optional<ParsedDecimal> parse_field(std::string_view field, DecimalMark mark) {
    skip_blanks(field);
    drop_trailing_blanks(field);
    if (field.empty()) return {};
    const bool minus = field.front() == '-';
    if (minus || field.front() == '+') field.remove_prefix(1);
    skip_blanks(field);
    if (field.empty() || !is_digit(field.front())) return {};
    auto value = parse_decimal(field, mark);
    if (value && minus) {
        value->negative_zero = value->value.digits == 0;
        value->value.digits = -value->value.digits;
    }
    return value;
}

class Reader {
public:
    Reader(const LineMap& map, std::string_view text) : map_(map), whole_(text), text_(text) {}

    bool fits(const LineForm& form) {
        for (const Piece& piece : form.pieces)
            if (!fits(piece)) return false;
        return text_.empty();
    }

    Found found;

private:
    bool fits(const Piece& piece) {
        switch (piece.is) {
            case Piece::Is::literal:
                if (text_.substr(0, piece.text.size()) != piece.text) return false;
                text_.remove_prefix(piece.text.size());
                return true;
            case Piece::Is::blanks: skip_blanks(text_); return true;
            case Piece::Is::rest: text_ = {}; return true;
            case Piece::Is::value: return value(piece.width);
            case Piece::Is::unit: return unit(piece.width);
            case Piece::Is::check_xor: return check(piece.width);
            default: break;
        }
        if (text_.size() < piece.width) return false;
        const std::string_view field = text_.substr(0, piece.width);
        text_.remove_prefix(piece.width);
        if (piece.is == Piece::Is::channel) found.channel = field;
        return piece.is != Piece::Is::word || word(map_.words.find(piece.text)->second, field);
    }

    bool value(std::size_t width) {
        if (width == 0) {
            found.value = take_decimal(text_, map_.mark);
        } else {
            if (text_.size() < width) return false;
            found.value = parse_field(text_.substr(0, width), map_.mark);
            // Figures that are not there may be explained by a status word: then there is a fault and no value.
            if (!found.value) unreadable_ = true;
            text_.remove_prefix(width);
        }
        if (found.value && found.value->decimals == 0 && map_.decimals > 0) {
            found.value->decimals = map_.decimals;
            if (found.value->value.digits != 0)
                found.value->value.exponent = static_cast<std::int8_t>(found.value->value.exponent - map_.decimals);
        }
        return found.value || unreadable_;
    }

    bool unit(std::size_t width) {
        std::size_t length = width;
        if (width == 0)
            while (length < text_.size() && is_letter(text_[length])) ++length;
        if (length == 0 || text_.size() < length) return false;
        std::string_view name = text_.substr(0, length);
        text_.remove_prefix(length);
        skip_blanks(name);
        drop_trailing_blanks(name);
        const auto own = map_.units.find(name);
        found.unit = own != map_.units.end() ? std::optional(own->second) : unit_from_wire(name);
        return found.unit.has_value();
    }

    bool check(std::size_t width) {
        if (text_.size() < width) return false;
        unsigned sum = 0;
        const std::size_t before = whole_.size() - text_.size();
        for (std::size_t i = map_.check_from; i < before; ++i) sum ^= static_cast<unsigned char>(whole_[i]);
        const std::string_view field = text_.substr(0, width);
        text_.remove_prefix(width);
        if (width == 1) return static_cast<unsigned char>(field[0]) == sum;
        const auto printed = parse_hex(field);
        return printed && *printed == sum;
    }

    bool word(const Words& words, std::string_view field) {
        const auto entry = words.find(field);
        if (entry == words.end()) return false;
        const Meaning& meaning = entry->second;
        if (meaning.fault && (!found.fault || is_advisory(*found.fault))) {
            found.fault = meaning.fault;
            found.fault_word = field;
        }
        if (meaning.stable) found.stable = meaning.stable;
        if (meaning.kind != Kind::none) found.kind = meaning.kind;
        if (meaning.judged != Limit::none) found.judged = meaning.judged;
        found.minus = found.minus || meaning.minus;
        return true;
    }

    const LineMap& map_;
    std::string_view whole_, text_;
    bool unreadable_ = false;
};

// Nothing when this form's line holds no usable value after all.
bool emit(const LineForm& form, Found& found, Unit set_unit, std::string_view text, Items& items) {
    const ChannelName channel(form.channel.empty() ? found.channel : std::string_view(form.channel));
    if (form.fault) {
        add_fault(items, *form.fault, text, channel);
        return true;
    }
    if (found.fault && !is_advisory(*found.fault)) {
        add_fault(items, *found.fault, found.fault_word, channel);
        return true;
    }
    if (form.info) {
        add_info(items, "said", text);
        if (found.fault) add_fault(items, *found.fault, found.fault_word, channel);
        return true;
    }
    if (!found.value) return false;
    if (found.minus) {
        if (found.value->value.digits < 0) return false;  // two signs
        found.value->negative_zero = found.value->value.digits == 0;
        found.value->value.digits = -found.value->value.digits;
    }
    Reading& reading = add_reading(items, *found.value, found.unit.value_or(set_unit));
    reading.unit_from_settings = !found.unit;
    reading.stable = found.stable;
    reading.kind = found.kind;
    reading.judged = found.judged;
    reading.channel = channel;
    if (found.fault) add_fault(items, *found.fault, found.fault_word, channel);
    return true;
}

}  // namespace

void read_described_line(const LineMap& map, Unit unit, std::string_view text, Items& items) {
    for (const LineForm& form : map.forms) {
        Reader reader(map, text);
        if (reader.fits(form) && emit(form, reader.found, unit, text, items)) return;
    }
    add_reject(items, "format");
}

}  // namespace halfturn
