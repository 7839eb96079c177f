#include "fit/threads.hpp"

#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>

#include "core/failure.hpp"
#include "core/nearest_word.hpp"
#include "core/number_text.hpp"

namespace halfturn::fit {

namespace {

constexpr std::array<const char*, 9> classes{"4.6", "4.8", "5.6", "5.8", "6.8", "8.8", "9.8", "10.9", "12.9"};
// Stress under proof load, ISO 898-1:2013 Table 3 (8.8 up to M16).
constexpr std::array<double, 9> proof_stress_MPa{225, 310, 280, 380, 440, 580, 650, 830, 970};

struct ThreadRow {
    const char* name;
    double d, pitch;
    std::array<double, 9> printed_N;  // zeros where the standard prints none
    Basis basis;
};
// ISO 898-1 prints loads rounded from a slightly different area in places (M8: 11400, not 11300), so they are
// kept as printed.
constexpr std::array<ThreadRow, 11> thread_rows{{
    {"M6", 6, 1, {4520, 6230, 5630, 7640, 8840, 11600, 13100, 16700, 19500}, Basis::looked_up},
    {"M6x0.75", 6, 0.75, {}, Basis::standard_rule},
    {"M7", 7, 1, {6500, 8960, 8090, 11000, 12700, 16800, 18800, 24000, 28000}, Basis::looked_up},
    {"M8", 8, 1.25, {8240, 11400, 10200, 13900, 16100, 21200, 23800, 30400, 35500}, Basis::looked_up},
    {"M8x1", 8, 1, {8820, 12200, 11000, 14900, 17200, 22700, 25500, 32500, 38000}, Basis::from_memory},
    {"M10", 10, 1.5, {13000, 18000, 16200, 22000, 25500, 33700, 37700, 48100, 56300}, Basis::looked_up},
    {"M10x1.25",
     10,
     1.25,
     {13800, 19000, 17100, 23300, 26900, 35500, 39800, 50800, 59400},
     Basis::from_memory},
    {"M10x1", 10, 1, {14500, 20000, 18100, 24500, 28400, 37400, 41900, 53500, 62700}, Basis::from_memory},
    {"M12", 12, 1.75, {19000, 26100, 23600, 32000, 37100, 48900, 54800, 70000, 81800}, Basis::looked_up},
    {"M12x1.5", 12, 1.5, {19800, 27300, 24700, 33500, 38800, 51100, 57300, 73100, 85500}, Basis::from_memory},
    {"M12x1.25",
     12,
     1.25,
     {20700, 28600, 25800, 35000, 40500, 53400, 59900, 76400, 89300},
     Basis::from_memory},
}};

double three_figures(double value) {
    const double scale = std::pow(10.0, std::floor(std::log10(value)) - 2);
    return std::round(value / scale) * scale;
}

double to_micrometre(double mm) { return std::round(mm * 1000) / 1000; }

// "m8X1,00" is not written by anyone twice the same way: a capital M, a small x, no trailing zeros.
std::string tidy(std::string_view name) {
    std::string out;
    for (std::size_t i = 0; i < name.size(); ++i) {
        const char c = name[i];
        if (c == ' ') continue;
        if (c == 'X' || c == '*')
            out += 'x';
        else if (c == 'm')
            out += 'M';
        else if (c == '\xC3' && i + 1 < name.size() && name[i + 1] == '\x97') {
            out += 'x';
            ++i;
        }  // U+00D7
        else
            out += c;
    }
    if (const std::size_t x = out.find('x'); x != std::string::npos) {
        if (const auto pitch = parse_number(std::string_view(out).substr(x + 1)))
            out = out.substr(0, x + 1) + number_text(*pitch);
    }
    return out;
}

}  // namespace

Thread find_thread(std::string_view name) {
    const std::string wanted = tidy(name);
    for (const auto& row : thread_rows) {
        const std::string in_full = std::string(row.name) + "x" + number_text(row.pitch);
        if (wanted != row.name && wanted != in_full) continue;
        Thread out;
        out.name = row.name;
        out.d_mm = row.d;
        out.pitch_mm = row.pitch;
        const double d2 = row.d - 0.649519 * row.pitch;
        const double d3 = row.d - 1.226869 * row.pitch;
        out.d2_mm = to_micrometre(d2);
        out.d3_mm = to_micrometre(d3);
        const double mean = (d2 + d3) / 2;
        out.stress_area_exact_mm2 = std::numbers::pi / 4 * mean * mean;
        out.stress_area_mm2 = to_micrometre(three_figures(out.stress_area_exact_mm2));
        out.source = {Basis::standard_rule, "ISO 724 and ISO 898-1:2013"};
        out.proof_source = {row.basis, "ISO 898-1:2013"};
        for (std::size_t i = 0; i < classes.size(); ++i) {
            const double printed = row.printed_N[i];
            out.proof_loads.push_back(
                {classes[i],
                 printed > 0 ? printed : three_figures(out.stress_area_mm2 * proof_stress_MPa[i])});
        }
        return out;
    }
    const std::string near = nearest_word(wanted, thread_names());
    throw BadInput("thread \"" + std::string(name) +
                   "\" is not in the table (M6 to M12, coarse such as M8, fine such as M8x1)" +
                   (near.empty() ? "" : "; did you mean " + near + "?"));
}

double proof_load_N(const Thread& thread, std::string_view property_class) {
    for (const auto& proof : thread.proof_loads)
        if (proof.property_class == property_class) return proof.load_N;
    const std::string near = nearest_word(property_class, property_classes());
    throw BadInput("property class \"" + std::string(property_class) +
                   "\" is not in ISO 898-1: use 4.6 to 12.9, such as 8.8" +
                   (near.empty() ? "" : " (did you mean " + near + "?)"));
}

std::vector<std::string> thread_names() {
    std::vector<std::string> out;
    for (const auto& row : thread_rows) out.emplace_back(row.name);
    return out;
}

std::vector<std::string> property_classes() { return {classes.begin(), classes.end()}; }

}  // namespace halfturn::fit
