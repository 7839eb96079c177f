#include "core/unit.hpp"

#include <array>

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

constexpr std::array<Row, 18> rows = {{
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
    {Unit::turns, "turns", Quantity::angle, 0},
}};

// Up to eight characters as one number, so that a spelling is found by one switch.
constexpr std::uint64_t packed(std::string_view word) {
    std::uint64_t number = 0;
    for (const char c : word) number = number << 8 | static_cast<unsigned char>(c);
    return number;
}

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
    if (text.empty() || text.size() > 6) return {};
    std::uint64_t word = 0;
    for (const char c : text)
        word = word << 8 | static_cast<unsigned char>(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
    switch (word) {
        case packed("mm"): return Unit::mm;
        case packed("in"):
        case packed("inch"):
        case packed("inches"): return Unit::in;
        case packed("um"): return Unit::um;
        case packed("n"): return Unit::N;
        case packed("kn"): return Unit::kN;
        case packed("kgf"): return Unit::kgf;
        case packed("gf"): return Unit::gf;
        case packed("lbf"): return Unit::lbf;
        case packed("ozf"): return Unit::ozf;
        case packed("kg"): return Unit::kg;
        case packed("g"): return Unit::g;
        case packed("lb"):
        case packed("lbs"): return Unit::lb;
        case packed("pc"):
        case packed("pcs"): return Unit::pcs;
        case packed("counts"): return Unit::counts;
        case packed("rpm"): return Unit::rpm;
        case packed("deg"): return Unit::deg;
        case packed("turns"): return Unit::turns;
        default: return {};
    }
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
