#include "fit/bearings.hpp"

#include <array>
#include <cstddef>

#include "core/failure.hpp"
#include "core/nearest_word.hpp"

namespace halfturn::fit {

namespace {

// Whose static rating is the smallest of those known, and whether it was read or remembered.
enum class Maker { skf, fbj, nsk, koyo, skf_fbj };

struct BearingRow {
    const char* designation;
    double d, D, B, r, C0;
    Maker maker;
    bool sizes_read;   // in at least one published table; else from memory
    bool rating_read;  // in the catalogues of four makers; else from memory
};
constexpr std::array<BearingRow, 35> bearing_rows{{
    {"61800", 10, 19, 5, 0.3, 585, Maker::skf_fbj, true, true},
    {"61801", 12, 21, 5, 0.3, 670, Maker::skf, true, false},
    {"61802", 15, 24, 5, 0.3, 800, Maker::skf_fbj, true, true},
    {"61803", 17, 26, 5, 0.3, 930, Maker::skf, true, false},
    {"61804", 20, 32, 7, 0.3, 1500, Maker::fbj, true, true},
    {"61805", 25, 37, 7, 0.3, 2600, Maker::skf, true, false},
    {"61806", 30, 42, 7, 0.3, 2900, Maker::skf_fbj, true, true},
    {"61900", 10, 22, 6, 0.3, 750, Maker::fbj, true, true},
    {"61901", 12, 24, 6, 0.3, 980, Maker::skf_fbj, true, true},
    {"61902", 15, 28, 7, 0.3, 2240, Maker::skf, true, false},
    {"61903", 17, 30, 7, 0.3, 2320, Maker::fbj, true, true},
    {"61904", 20, 37, 9, 0.3, 3650, Maker::skf, false, false},
    {"61905", 25, 42, 9, 0.3, 4000, Maker::fbj, true, true},
    {"61906", 30, 47, 9, 0.3, 4550, Maker::skf, false, false},
    {"6000", 10, 26, 8, 0.3, 1950, Maker::koyo, true, true},
    {"6001", 12, 28, 8, 0.3, 2360, Maker::skf, true, false},
    {"6002", 15, 32, 9, 0.3, 2830, Maker::nsk, true, true},
    {"6003", 17, 35, 10, 0.3, 3250, Maker::skf_fbj, true, true},
    {"6004", 20, 42, 12, 0.6, 5000, Maker::skf, true, false},
    {"6005", 25, 47, 12, 0.6, 5850, Maker::nsk, true, true},
    {"6006", 30, 55, 13, 1.0, 8300, Maker::skf, false, false},
    {"6200", 10, 30, 9, 0.6, 2360, Maker::skf_fbj, true, true},
    {"6201", 12, 32, 10, 0.6, 3050, Maker::nsk, true, true},
    {"6202", 15, 35, 11, 0.6, 3750, Maker::skf, true, false},
    {"6203", 17, 40, 12, 0.6, 4750, Maker::skf_fbj, true, true},
    {"6204", 20, 47, 14, 1.0, 6550, Maker::skf_fbj, true, true},
    {"6205", 25, 52, 15, 1.0, 7800, Maker::skf, true, false},
    {"6206", 30, 62, 16, 1.0, 11200, Maker::skf_fbj, true, true},
    {"6300", 10, 35, 11, 0.6, 3400, Maker::skf, true, false},
    {"6301", 12, 37, 12, 1.0, 4150, Maker::skf_fbj, true, true},
    {"6302", 15, 42, 13, 1.0, 5400, Maker::skf_fbj, true, true},
    {"6303", 17, 47, 14, 1.0, 6550, Maker::skf, false, false},
    {"6304", 20, 52, 15, 1.1, 7800, Maker::skf_fbj, true, true},
    {"6305", 25, 62, 17, 1.1, 11200, Maker::nsk, false, false},
    {"6306", 30, 72, 19, 1.1, 15000, Maker::nsk, true, true},
}};

const char* maker_text(Maker maker) {
    switch (maker) {
        case Maker::skf:
            return "SKF";
        case Maker::fbj:
            return "FBJ";
        case Maker::nsk:
            return "NSK";
        case Maker::koyo:
            return "KOYO";
        case Maker::skf_fbj:
            break;
    }
    return "SKF and FBJ";
}

std::string short_form(std::string_view designation) {
    const std::string_view series = designation.substr(0, 3);
    if (series == "618") return "68" + std::string(designation.substr(3));
    if (series == "619") return "69" + std::string(designation.substr(3));
    return "";
}

// The digits in front: "61902-2RS1" and "6902 ZZ" name the same bearing as "61902" and "6902".
std::string_view leading_digits(std::string_view text) {
    std::size_t length = 0;
    while (length < text.size() && text[length] >= '0' && text[length] <= '9') ++length;
    return text.substr(0, length);
}

// After the digits only a seal, cage or clearance suffix may follow; it starts with a dash, a space or a
// capital.
bool is_suffix(std::string_view rest) {
    if (rest.empty()) return true;
    const char first = rest[0];
    if (first != '-' && first != ' ' && first != '/' && !(first >= 'A' && first <= 'Z')) return false;
    for (const char c : rest.substr(1))
        if (!((c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == ' ' || c == '/'))
            return false;
    return true;
}

}  // namespace

Bearing find_bearing(std::string_view designation) {
    const std::string_view digits = leading_digits(designation);
    for (const auto& row : bearing_rows) {
        const std::string also = short_form(row.designation);
        if ((digits != row.designation && digits != also) || digits.empty()) continue;
        if (!is_suffix(designation.substr(digits.size()))) break;
        const auto basis = [](bool was_read) { return was_read ? Basis::looked_up : Basis::from_memory; };
        return {row.designation,
                also,
                row.d,
                row.D,
                row.B,
                row.r,
                row.C0,
                {basis(row.sizes_read), "ISO 15:2017"},
                {basis(row.rating_read),
                 std::string("catalogue of ") + maker_text(row.maker) +
                     (row.rating_read ? ", the smallest of four makers" : ", the smallest known")}};
    }
    const std::string near = nearest_word(digits.empty() ? designation : digits, bearing_designations());
    throw BadInput("bearing \"" + std::string(designation) +
                   "\" is not in the table (series 60, 62, 63, 618 or 68, 619 or 69 "
                   "with bores 10 to 30 mm)" +
                   (near.empty() ? "." : "; did you mean " + near + "?") +
                   " In a job file, give d_mm, D_mm and B_mm instead");
}

std::optional<bool> sealed_by_suffix(std::string_view designation) {
    const std::string_view suffix = designation.substr(leading_digits(designation).size());
    for (const char* mark : {"RS", "RZ", "LL", "DD", "VV", "ZZ", "2Z", "LB", "LU"})
        if (suffix.find(mark) != std::string_view::npos) return true;
    return {};
}

std::vector<std::string> bearing_designations() {
    std::vector<std::string> out;
    for (const auto& row : bearing_rows) {
        out.emplace_back(row.designation);
        if (const std::string also = short_form(row.designation); !also.empty()) out.push_back(also);
    }
    return out;
}

}  // namespace halfturn::fit
