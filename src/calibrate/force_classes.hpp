// Classes of force-measuring instruments: the rig's own indication (ISO 7500-1:2018) and a reference
// instrument (ISO 376:2011). A class is always that of the worst single value, never of a mean.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace halfturn::calibrate {

class CsvReadings;

// "class 1 holds from 400 N upward": all points from from_N up, and the zero, are of this class or better.
struct ClassReach {
    std::string name;
    double from_N = 0;
};

// ---- ISO 7500-1:2018: an indication against a reference ----
struct Class7500Readings {
    double capacity_N = 0, resolution_N = 0;
    double zero_N = 0;  // residual indication after the force is taken off
    struct Point {
        double indicated_N = 0;
        std::array<double, 3> up_N{};  // reference force in series 1, 2, 3, force rising
        std::optional<double> down_N;  // reference force on the way down, after series 3
    };
    std::vector<Point> points;
};

struct Class7500Point {
    double indicated_N = 0;
    std::array<double, 3> q_percent{};  // accuracy, each series: (indicated - reference) / reference
    double b_percent = 0;  // repeatability: largest q - smallest q, whichever series they are from
    std::optional<double>
        v_percent;           // reversibility: (reference up - reference down) / reference up, of series 3
    double a_percent = 0;    // resolution / indicated
    std::string class_name;  // "0.5", "1", "2", "3" or "none": of the worst of these
};

struct Class7500Result {
    std::vector<Class7500Point> points;  // rising force
    double f0_percent = 0;               // zero_N / capacity
    std::string f0_class;
    // Of the worst value from 20 % of capacity upward, which is the range ISO 7500-1 wants calibrated, and of
    // the zero. Points below 20 % are additional: they can carry the class further down, never lower it. Where
    // all points lie below 20 %, of the worst of them.
    std::string class_name;
    // From here upward every point has the overall class or better; with no overall class, any class. Nothing
    // when the highest point has none.
    std::optional<double> lowest_N;
    bool range_reached = true;       // some point lies at 20 % of capacity or above
    std::vector<ClassReach> reach;   // for each class reached, from where
};

// Limits: ISO 7500-1:2018 table 2 (looked up), with the resolution limits that give the lower limits of 400,
// 200, 100 and 66.7 times the resolution. A value on a limit is inside (1e-9 of rounding allowed). Exact
// arithmetic otherwise. Throws BadInput: no points, forces not above zero, a point given twice or above 110 %
// of capacity.
Class7500Result class_7500(const Class7500Readings& readings);

// The contract's CSV. Throws BadInput that names the line: any of series 1-3 missing at a point; series 4
// (down), where used at all, missing anywhere below the highest point; a wrong series or direction.
Class7500Readings read_class_7500(const CsvReadings& table);

// ---- ISO 376:2011: a force-proving instrument against known forces ----
struct Class376Readings {
    double capacity_reading = 0;             // reading at capacity, X_N
    double zero_before = 0, zero_after = 0;  // i_o and i_f
    std::optional<int> degree;               // of the interpolation; needed unless every point has a given Xa
    std::optional<double> resolution_reading;  // r, for the lowest force of each class
    struct Point {
        double force_N = 0;
        double X1 = 0, X2 = 0;     // same position, force rising
        double X3 = 0, X4d = 0;    // rotated: rising, then falling
        double X5 = 0, X6d = 0;    // rotated again: rising, then falling
        std::optional<double> Xa;  // reading from a given curve
    };
    std::vector<Point> points;
};

struct Class376Point {
    double force_N = 0;
    double b_percent = 0;         // reproducibility with rotation: extremes of X1, X3, X5 over their mean
    double b_repeat_percent = 0;  // repeatability without rotation (b'): |X2 - X1| over their mean
    double fc_percent = 0;        // interpolation: (mean of X1, X3, X5 - Xa) / Xa
    double v_percent = 0;         // reversibility: mean of |X4d - X3| / |X3| and |X6d - X5| / |X5|
    std::string class_name;       // "00", "0.5", "1", "2" or "none"
};

struct Class376Result {
    std::vector<Class376Point> points;  // rising force
    double f0_percent = 0;              // (zero_after - zero_before) / capacity_reading
    std::string f0_class;
    std::string class_name;  // worst of all points and the zero
    std::optional<double> lowest_N;
    std::vector<ClassReach> reach;
    std::vector<double> coefficients;  // of Xa over force in N, from x^0; empty when Xa was given
};

// Formulas: ISO 376:2011 clause 7; limits of table 2 (partly looked up). Xa: least squares (line_fit.hpp) of
// the mean of X1, X3, X5 over the force, degree 1 to 3 with a constant. Lowest force of a class: 4000, 2000,
// 1000, 500 times the resolution (from memory, not looked up). Creep, which the standard allows instead of
// reversibility, is not used. Throws BadInput: no points, a force not above zero or twice, a mean reading of
// zero, too few points for the degree (degree + 2: one more than the curve can swallow).
Class376Result class_376(const Class376Readings& readings);
Class376Readings read_class_376(const CsvReadings& table);

}  // namespace halfturn::calibrate
