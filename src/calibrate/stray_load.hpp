// How far a load cell's indication moves under loads it should not feel: the pull beside its axis (a drift with reach sweeps it
// round the cell once per turn of the screw), a push from the side, the screw's torque. Each compared with the undisturbed cell.
//   const StrayResult r = calibrate_stray(read_stray_test(Stray::eccentric, table));   // r.per_unit, r.U_per_unit
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "calibrate/budget.hpp"
#include "calibrate/conformity.hpp"
#include "calibrate/monte_carlo.hpp"

namespace halfturn::calibrate {

class CsvReadings;

enum class Stray : std::uint8_t { eccentric, side_load, torsion };

// What a test is called in commands, files and certificates, and in which units it counts.
struct StrayWords {
    Stray stray;
    std::string_view kind;         // "eccentric": of command and certificate
    std::string_view amount;       // "offset_mm": its column
    std::string_view unit;         // "mm"
    std::string_view of_job;       // "reach_mm": the note that says what a job brings
    std::string_view per_unit;     // "percent_per_mm": key of the result
    bool angle;                    // goes round the axis; else it has two ways, plus and minus
    bool percent;                  // moves the indication in proportion to the force, so counted in percent of it; else in N
};
const StrayWords& stray_words(Stray stray);
std::optional<Stray> stray_of(std::string_view kind);

struct StrayReading {
    double indicated_N = 0, reference_N = 0;
    double amount = 0;       // mm beside the axis, N from the side, Nm (either sign); 0: undisturbed
    double angle_deg = 0;    // where it acts, as marked on the cell
};

struct StrayTest {
    Stray stray = Stray::eccentric;
    double resolution_N = 0;
    double amount_half_width = 0;            // how well the amount is known, in its unit
    std::optional<double> job_amount;        // what a job brings; nothing: the largest tested
    std::optional<double> allowed_percent;   // of the force; nothing: nothing is judged
    std::vector<StrayReading> readings;      // in the order taken
};

// Deviations are indication less reference, less the same undisturbed: in percent of the force for eccentric, else in N.
struct StrayPlace {
    double amount = 0, angle_deg = 0, deviation = 0;   // mean
    int count = 0;
};

struct StrayResult {
    double force_N = 0;                   // mean of the reference
    double largest_amount = 0;
    double scatter = 0;                   // of one deviation about the model
    int dof = 0;
    std::vector<StrayPlace> places;
    double worst_percent = 0;             // of the force: the largest single one, with its sign
    double shift = 0, u_shift = 0;        // the same at every angle (or either way), at the largest amount
    double per_unit = 0, u_per_unit = 0;  // amplitude that goes once round (torsion: slope, with its sign), per unit of the amount
    double U_per_unit = 0, k = 0;         // with everything in the budget, 95 %
    double direction_deg = 0;             // where the indication is highest; no meaning for torsion
    double drift = 0;                     // of the undisturbed deviation, last less first; 0 where not repeated
    Budget budget;                        // of per_unit
    GumResult gum;
    MonteCarloResult monte_carlo;
    double job_amount = 0;
    double swing_percent = 0, U_swing_percent = 0;   // ± of the force at what a job brings
    double whole_percent = 0;             // the larger of |shift| + swing and the worst single one, scaled to it
    std::optional<Conformity> conformity; // of that, ISO 14253-1
};

// Model: y = b + s (q/q_max)^2 + a q cos(angle) + c q sin(angle); torsion: y = b + s (q/q_max)^2 + a q. It is the Taylor series of
// the deviation about the axis up to the terms that are even or go once round; what goes twice round is left in the scatter.
// Least squares by Householder QR. For n equally spaced angles the amplitude is 2/n |sum y exp(i angle)| / q, as in any harmonic
// analysis. Amplitudes near their own uncertainty come out too large (the length of a noisy vector). Whoever needs the amplitude
// alone uses per_unit + U_per_unit as its bound. Checked: closed form, and numpy 1.24 lstsq on readings without symmetry to 10
// digits (tests/calibrate/stray_load_test.cpp).
// Sources: that a cell is tested under eccentric load at places all round, each compared on its own and not as a mean, is how OIML R
// 76-1:2006 tests weighing instruments (3.6.2, A.4.7; from memory, not looked up). ISO 376 sees it only within its reproducibility
// b, the cell rotated (clause 7; from memory). To state it per mm, side load in N per N and torque in N per Nm, this model, the
// rules on angles and the budget's parts: common practice, no published source.
// Throws BadInput: fewer than 3 undisturbed readings, angles that don't go round (a gap above 150 degrees), torque one way only,
// forces that differ by more than 10 %, too few readings, a job's amount above the largest tested.
StrayResult calibrate_stray(const StrayTest& test, std::uint64_t seed = 1);

// CSV: indicated_N, reference_N, the amount's column, and angle_deg for what goes round. Notes, all optional: `# resolution_N`, `#
// half_width` (in the amount's unit), what a job brings (`# reach_mm`, `# job_side_N`, `# job_torque_Nm`), `# allowed_percent`.
StrayTest read_stray_test(Stray stray, const CsvReadings& table);

}  // namespace halfturn::calibrate
