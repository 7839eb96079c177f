#include "fit/iso286.hpp"

#include <array>
#include <cstddef>

#include "core/failure.hpp"
#include "core/nearest_word.hpp"
#include "core/number_text.hpp"

namespace halfturn::fit {

namespace {

// One row per range of nominal sizes in ISO 286-1. Only r splits 50-80 and 80-120, so those ranges come
// twice.
struct SizeRow {
    double over_mm, including_mm;
    std::array<double, 6> it;  // IT4 to IT9; IT4 only for the delta of grade 5
    double g, j5_j6, j7;       // magnitudes: g is below the zero line by es, j reaches down by ei
    double J6, J7, J8;         // ES
    double k, m, n, p, r;      // ei of shafts; holes take the negative plus delta
};
constexpr std::array<SizeRow, 7> size_rows{{
    {6, 10, {4, 6, 9, 15, 22, 36}, 5, 2, 5, 5, 8, 12, 1, 6, 10, 15, 19},
    {10, 18, {5, 8, 11, 18, 27, 43}, 6, 3, 6, 6, 10, 15, 1, 7, 12, 18, 23},
    {18, 30, {6, 9, 13, 21, 33, 52}, 7, 4, 8, 8, 12, 20, 2, 8, 15, 22, 28},
    {30, 50, {7, 11, 16, 25, 39, 62}, 9, 5, 10, 10, 14, 24, 2, 9, 17, 26, 34},
    {50, 65, {8, 13, 19, 30, 46, 74}, 10, 7, 12, 13, 18, 28, 2, 11, 20, 32, 41},
    {65, 80, {8, 13, 19, 30, 46, 74}, 10, 7, 12, 13, 18, 28, 2, 11, 20, 32, 43},
    {80, 100, {10, 15, 22, 35, 54, 87}, 12, 9, 15, 16, 22, 34, 3, 13, 23, 37, 51},
}};
constexpr SizeRow last_row{100, 120, {10, 15, 22, 35, 54, 87}, 12, 9, 15, 16, 22, 34, 3, 13, 23, 37, 54};

struct Letter {
    const char* name;
    int first_grade, last_grade;
};
// K above IT8 has no deviation in the standard for these sizes; J and j exist in the grades named only.
constexpr std::array<Letter, 9> hole_letters{{{"G", 5, 9},
                                              {"H", 5, 9},
                                              {"J", 6, 8},
                                              {"JS", 5, 9},
                                              {"K", 5, 8},
                                              {"M", 5, 9},
                                              {"N", 5, 9},
                                              {"P", 5, 9},
                                              {"R", 5, 9}}};
constexpr std::array<Letter, 9> shaft_letters{{{"g", 5, 9},
                                               {"h", 5, 9},
                                               {"j", 5, 7},
                                               {"js", 5, 9},
                                               {"k", 5, 9},
                                               {"m", 5, 9},
                                               {"n", 5, 9},
                                               {"p", 5, 9},
                                               {"r", 5, 9}}};

const SizeRow& row_for(double nominal_mm) {
    for (const auto& row : size_rows)
        if (nominal_mm > row.over_mm && nominal_mm <= row.including_mm) return row;
    if (nominal_mm > last_row.over_mm && nominal_mm <= last_row.including_mm) return last_row;
    throw BadInput("nominal size " + number_text(nominal_mm) +
                   " mm: the ISO 286 tables here cover sizes over 6 up to and including 120 mm");
}

double it(const SizeRow& row, int grade) { return row.it[static_cast<std::size_t>(grade - 4)]; }

// Delta of ISO 286-1: the difference between the grade and the next finer one.
double delta(const SizeRow& row, int grade) { return it(row, grade) - it(row, grade - 1); }

void set_hole(LimitDeviations& out, const SizeRow& row, std::string_view letter, int grade) {
    const double width = it(row, grade);
    if (letter == "G") {
        out.lower_um = row.g;
        out.upper_um = row.g + width;
        return;
    }
    if (letter == "H") {
        out.lower_um = 0;
        out.upper_um = width;
        return;
    }
    if (letter == "JS") {
        out.lower_um = -width / 2;
        out.upper_um = width / 2;
        return;
    }
    double upper = 0;
    if (letter == "J")
        upper = grade == 6 ? row.J6 : grade == 7 ? row.J7 : row.J8;
    else if (letter == "K")
        upper = -row.k + delta(row, grade);
    else if (letter == "M")
        upper = -row.m + (grade <= 8 ? delta(row, grade) : 0);
    else if (letter == "N")
        upper = grade <= 8 ? -row.n + delta(row, grade) : 0;  // the standard sets ES = 0 above IT8
    else if (letter == "P")
        upper = -row.p + (grade <= 7 ? delta(row, grade) : 0);
    else
        upper = -row.r + (grade <= 7 ? delta(row, grade) : 0);
    out.upper_um = upper;
    out.lower_um = upper - width;
}

void set_shaft(LimitDeviations& out, const SizeRow& row, std::string_view letter, int grade) {
    const double width = it(row, grade);
    if (letter == "g" || letter == "h") {
        out.upper_um = letter == "g" ? -row.g : 0;
        out.lower_um = out.upper_um - width;
        return;
    }
    double lower = 0;
    if (letter == "js")
        lower = -width / 2;
    else if (letter == "j")
        lower = grade <= 6 ? -row.j5_j6 : -row.j7;
    else if (letter == "k")
        lower = grade <= 7 ? row.k : 0;
    else if (letter == "m")
        lower = row.m;
    else if (letter == "n")
        lower = row.n;
    else if (letter == "p")
        lower = row.p;
    else
        lower = row.r;
    out.lower_um = lower;
    out.upper_um = lower + width;
}

std::vector<std::string> classes_of(const std::array<Letter, 9>& letters) {
    std::vector<std::string> out;
    for (const auto& letter : letters)
        for (int grade = letter.first_grade; grade <= letter.last_grade; ++grade)
            out.push_back(letter.name + std::to_string(grade));
    return out;
}

bool is_capital(std::string_view text) { return !text.empty() && text[0] >= 'A' && text[0] <= 'Z'; }

// Every deviation in `size_rows` was read in at least two published tables, so each cell is the standard's own
// sum.
const Source by_rule{Basis::standard_rule, "ISO 286-1:2010, fundamental deviation and standard tolerance"};

}  // namespace

LimitDeviations limits(Feature feature, std::string_view tolerance_class, double nominal_mm) {
    const auto& letters = feature == Feature::hole ? hole_letters : shaft_letters;
    for (const auto& letter : letters) {
        const std::string_view name = letter.name;
        if (tolerance_class.size() != name.size() + 1 || tolerance_class.substr(0, name.size()) != name)
            continue;
        const int grade = tolerance_class.back() - '0';
        if (grade < letter.first_grade || grade > letter.last_grade) continue;
        const SizeRow& row = row_for(nominal_mm);
        LimitDeviations out;
        out.name = tolerance_class;
        out.feature = feature;
        out.over_mm = row.over_mm;
        out.including_mm = row.including_mm;
        if (feature == Feature::hole)
            set_hole(out, row, name, grade);
        else
            set_shaft(out, row, name, grade);
        out.source = by_rule;
        return out;
    }
    const auto known = feature == Feature::hole ? hole_classes() : shaft_classes();
    const std::string what = feature == Feature::hole ? "hole" : "shaft";
    const std::string near = nearest_word(tolerance_class, known);
    throw BadInput("tolerance class \"" + std::string(tolerance_class) + "\" is no " + what +
                   " class this tool knows (" +
                   (feature == Feature::hole ? "holes are written in capitals, such as N7"
                                             : "shafts are written small, such as k5") +
                   (near.empty() ? ")" : "); did you mean " + near + "?"));
}

LimitDeviations limits(std::string_view tolerance_class, double nominal_mm) {
    return limits(is_capital(tolerance_class) ? Feature::hole : Feature::shaft, tolerance_class, nominal_mm);
}

double standard_tolerance_um(int grade, double nominal_mm) {
    if (grade < 5 || grade > 9)
        throw BadInput("grade IT" + std::to_string(grade) + ": the ISO 286 tables here cover IT5 to IT9");
    return it(row_for(nominal_mm), grade);
}

std::vector<std::string> hole_classes() { return classes_of(hole_letters); }
std::vector<std::string> shaft_classes() { return classes_of(shaft_letters); }

}  // namespace halfturn::fit
