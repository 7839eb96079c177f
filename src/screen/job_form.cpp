#include "screen/job_form.hpp"

#include <array>

#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "screen/set_order.hpp"

namespace halfturn::screen {
namespace {

struct Field {
    std::string_view table, key, label;  // the table in the job file, or "" for its top
    bool is_number;
};

constexpr std::array<Field, 19> fields = {{
    {"", "work", "out or in", false},
    {"", "access", "how the drift gets at it", false},
    {"", "item", "the item", false},
    {"", "seat", "the seat", false},
    {"", "set", "the set", false},
    {"", "who", "who", false},
    {"bearing", "designation", "the bearing's number", false},
    {"bearing", "clearance", "the bearing's clearance", false},
    {"seat_fit", "class", "the bore's tolerance class", false},
    {"seat_fit", "bore_mm", "the measured bore", true},
    {"seat_fit", "bore_u_um", "the bore's uncertainty", true},
    {"seat_fit", "outside_mm", "the measured outer ring", true},
    {"seat_fit", "outside_u_um", "the outer ring's uncertainty", true},
    {"housing", "material", "the housing's material", false},
    {"housing", "outside_diameter_mm", "the housing's outside diameter", true},
    {"housing", "shape", "the housing's shape", false},
    {"housing", "temperature_C", "the temperature", true},
    {"condition", "surface", "the surface", false},
    {"drift", "reach_mm", "the drift's reach", true},
}};

}  // namespace

std::string trimmed(std::string_view text) {
    constexpr std::string_view blanks = " \t\r\n";
    const auto first = text.find_first_not_of(blanks);
    return first == std::string_view::npos ? std::string() : std::string(text.substr(first, text.find_last_not_of(blanks) - first + 1));
}

double typed_number(const std::string& text, std::string_view label) {
    std::string point = trimmed(text);
    if (const auto comma = point.find(','); comma != std::string::npos) point[comma] = '.';
    const auto number = parse_number(point);
    if (!number) throw BadInput(std::string(label) + " is \"" + text + "\", which is no number; write it like 27.98, or leave it empty");
    return *number;
}

std::string toml_quoted(std::string_view text) {
    constexpr std::string_view digits = "0123456789ABCDEF";
    std::string out = "\"";
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        if (c == '"' || c == '\\') {
            out += '\\';
            out += c;
        } else if (byte < 0x20 || byte == 0x7f) {
            out += "\\u00";
            out += digits[byte >> 4];
            out += digits[byte & 15];
        } else {
            out += c;
        }
    }
    return out + "\"";
}

std::string job_text_from_form(const JsonValue& form) {
    if (form.kind() != JsonValue::Kind::object) throw BadInput("the page sent no form; load it again");
    std::string out = "# Filled in on the page.\n";
    for (const auto& [name, value] : form.members()) {
        bool known = name == seats_key || name == family_key;
        for (const Field& field : fields) known = known || field.key == name;
        if (!known) throw BadInput("the form has a field \"" + name + "\" that this version does not know; load the page again");
        static_cast<void>(value);
    }
    std::string_view table;
    for (const Field& field : fields) {
        const JsonValue* value = form.find(field.key);
        const std::string text = value ? trimmed(value->text()) : std::string();
        if (text.empty() || text == "unknown") continue;
        if (field.table != table) {
            table = field.table;
            out += "\n[" + std::string(table) + "]\n";
        }
        out += std::string(field.key) + " = " + (field.is_number ? number_text(typed_number(text, field.label)) : toml_quoted(text)) + "\n";
    }
    return out;
}

}  // namespace halfturn::screen
