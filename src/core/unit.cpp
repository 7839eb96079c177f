#include "core/unit.hpp"

#include <array>
#include <string>

namespace halfturn {
namespace {

struct Row {
    Unit unit;
    std::string_view name;
    Quantity quantity;
    double to_base;  // 0: none
};

constexpr double standard_gravity = 9.80665;
constexpr double pound_kg = 0.45359237;

constexpr std::array<Row, 17> rows = {{
    {Unit::none, "cfg", Quantity::none, 0},
    {Unit::mm, "mm", Quantity::length, 1},
    {Unit::in, "in", Quantity::length, 25.4},
    {Unit::um, "um", Quantity::length, 0.001},
    {Unit::N, "N", Quantity::force, 1},
    {Unit::kN, "kN", Quantity::force, 1000},
    {Unit::kgf, "kgf", Quantity::force, standard_gravity},
    {Unit::gf, "gf", Quantity::force, standard_gravity / 1000},
    {Unit::lbf, "lbf", Quantity::force, 4.4482216152605},
    {Unit::ozf, "ozf", Quantity::force, 4.4482216152605 / 16},
    {Unit::kg, "kg", Quantity::mass, 0},
    {Unit::g, "g", Quantity::mass, 0},
    {Unit::lb, "lb", Quantity::mass, 0},
    {Unit::pcs, "pcs", Quantity::count, 0},
    {Unit::counts, "counts", Quantity::counts, 0},
    {Unit::rpm, "rpm", Quantity::speed, 0},
    {Unit::deg, "deg", Quantity::angle, 0},
}};

const Row& row(Unit unit) { return rows[static_cast<std::size_t>(unit)]; }

}  // namespace

std::string_view unit_name(Unit unit) { return row(unit).name; }
Quantity quantity_of(Unit unit) { return row(unit).quantity; }

std::optional<Unit> unit_from_name(std::string_view name) {
    for (const Row& r : rows)
        if (r.name == name && r.unit != Unit::none) return r.unit;
    return {};
}

std::optional<Unit> unit_from_wire(std::string_view text) {
    while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
    while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
    std::string lower;
    for (const char c : text) lower += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    for (const Row& r : rows) {
        if (r.unit == Unit::none || r.name.size() != lower.size()) continue;
        bool same = true;
        for (std::size_t i = 0; i < lower.size(); ++i) {
            const char c = r.name[i];
            same = same && lower[i] == (c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c);
        }
        if (same) return r.unit;
    }
    if (lower == "inch" || lower == "inches") return Unit::in;
    if (lower == "pc") return Unit::pcs;
    if (lower == "lbs") return Unit::lb;
    return {};
}

std::string_view quantity_name(Quantity quantity) {
    switch (quantity) {
        case Quantity::length: return "length";
        case Quantity::force: return "force";
        case Quantity::mass: return "mass";
        case Quantity::count: return "count";
        case Quantity::counts: return "counts";
        case Quantity::speed: return "speed";
        case Quantity::angle: return "angle";
        case Quantity::none: break;
    }
    return "none";
}

std::optional<double> factor_to_base(Unit unit) {
    if (row(unit).to_base == 0) return {};
    return row(unit).to_base;
}

std::optional<double> mass_to_force_N(Unit unit) {
    switch (unit) {
        case Unit::kg: return standard_gravity;
        case Unit::g: return standard_gravity / 1000;
        case Unit::lb: return standard_gravity * pound_kg;
        default: return {};
    }
}

}  // namespace halfturn
