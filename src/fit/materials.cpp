#include "fit/materials.hpp"

#include <array>

#include "core/failure.hpp"
#include "core/nearest_word.hpp"

namespace halfturn::fit {

namespace {

struct MaterialRow {
    const char* name;
    const char* also;  // a short name that stands for this one
    double E_GPa, E_u_GPa, nu, alpha_per_K, yield_low, yield_high;
    Basis basis;
    const char* source;
};
constexpr Basis read = Basis::looked_up;
constexpr Basis memory = Basis::from_memory;
constexpr std::array<MaterialRow, 18> material_rows{{
    {"6061-T6", "aluminium", 68.9, 0.7, 0.33, 23.6e-6, 255, 276, read,
     "Hibbeler, App. C (E, yield); nu 0.33 as most tables (Hibbeler prints 0.35)"},
    {"6082-T6", "", 70, 1, 0.33, 23.4e-6, 250, 260, memory, "EN 755-2"},
    {"7075-T6", "", 71.7, 0.5, 0.33, 23.5e-6, 480, 503, read, "course tables of two engineering schools"},
    {"2024-T3", "", 73.1, 0.7, 0.33, 23.2e-6, 324, 345, memory, "handbook values"},
    {"A356-T6 cast", "cast aluminium", 72.4, 1.5, 0.33, 21.5e-6, 165, 205, memory, "handbook values"},
    {"AZ91D cast", "magnesium", 45, 1.2, 0.35, 26e-6, 97, 160, read,
     "Callister, App. B (yield); course table (E, alpha)"},
    {"AM60B die cast", "", 45, 1.2, 0.35, 25.8e-6, 130, 130, memory, "handbook values"},
    {"AM1004-T61 Mg", "", 44.7, 0.5, 0.30, 26e-6, 152, 152, read, "Hibbeler, tables"},
    {"Ti-6Al-4V", "titanium", 113.8, 2, 0.34, 9e-6, 827, 924, read,
     "course table (E, yield); Hibbeler prints E 120, nu 0.36"},
    {"100Cr6 bearing steel", "100cr6", 208, 2, 0.30, 12.5e-6, 0, 0, read, "NSK E1102, App. T8; hardened"},
    {"440C", "", 200, 3, 0.28, 10.1e-6, 1860, 1860, read, "NSK E1102, App. T8"},
    {"304 stainless", "stainless steel", 193, 2, 0.29, 16.6e-6, 205, 245, read,
     "NSK E1102, App. T8; Hibbeler prints nu 0.27"},
    {"carbon steel", "steel", 206, 2, 0.30, 11.5e-6, 216, 451, read, "NSK E1102, App. T8"},
    {"4130 steel", "chromoly steel", 205, 2, 0.29, 11.2e-6, 435, 460, memory, "handbook values, normalised"},
    {"grey cast iron", "cast iron", 105, 10, 0.26, 10.8e-6, 0, 0, memory,
     "EN-GJL-250, handbook values; breaks before it yields"},
    {"ductile cast iron", "", 169, 3, 0.275, 11e-6, 250, 275, memory, "EN-GJS-400, handbook values"},
    {"brass", "", 105, 5, 0.34, 20e-6, 100, 300, memory, "CuZn39Pb3, handbook values"},
    {"bronze", "", 105, 7, 0.34, 18e-6, 90, 150, memory, "cast tin bronze, handbook values"},
}};

std::string folded(std::string_view text) {
    std::string out;
    for (const char c : text) {
        if (c == ' ' || c == '-' || c == '_') continue;
        out += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    }
    return out;
}

Material from_row(const MaterialRow& row) {
    return {row.name,        row.E_GPa,     row.E_u_GPa,    row.nu,
            row.alpha_per_K, row.yield_low, row.yield_high, {row.basis, row.source}};
}

}  // namespace

Material find_material(std::string_view name) {
    const std::string wanted = folded(name);
    if (wanted == "aluminum") return find_material("aluminium");
    if (wanted == "cfrp" || wanted == "carbonfibre" || wanted == "carbonfiber" || wanted == "cfrplaminate")
        throw BadInput(
            "material \"" + std::string(name) +
            "\": a laminate has no single stiffness, so the fit formulas do not "
            "hold. Seats in such parts are normally bonded metal sleeves: name the sleeve's metal");
    for (const auto& row : material_rows)
        if (!wanted.empty() && (wanted == folded(row.name) || wanted == folded(row.also)))
            return from_row(row);
    // "AZ91D" names "AZ91D cast" as long as only one row starts that way.
    const MaterialRow* only = nullptr;
    int matches = 0;
    for (const auto& row : material_rows) {
        if (wanted.size() < 4 || !folded(row.name).starts_with(wanted)) continue;
        only = &row;
        ++matches;
    }
    if (matches == 1) return from_row(*only);
    const std::string near = nearest_word(name, material_names());
    throw BadInput(
        "material \"" + std::string(name) + "\" is not in the table" +
        (near.empty() ? "; `halfturn tables material list` names them" : "; did you mean " + near + "?"));
}

Material ring_steel() { return find_material("100Cr6 bearing steel"); }

std::vector<std::string> material_names() {
    std::vector<std::string> out;
    for (const auto& row : material_rows) {
        out.emplace_back(row.name);
        if (*row.also != '\0') out.emplace_back(row.also);
    }
    return out;
}

}  // namespace halfturn::fit
