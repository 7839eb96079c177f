// An uncertainty budget: a model with inputs, evaluated by the law of propagation of uncertainty (GUM, JCGM
// 100:2008). monte_carlo.hpp does the same by propagating distributions.
#pragma once

#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "calibrate/expression.hpp"

namespace halfturn::calibrate {

enum class Distribution { normal, rectangular, triangular, arcsine, student };

struct BudgetInput {
    std::string name;
    double value = 0;
    double u = 0;  // standard uncertainty; for student the scale (s over root n), as GUM 4.2 takes it
    Distribution distribution = Distribution::normal;
    double dof = std::numeric_limits<double>::infinity();
    std::string note;
};

// The standard uncertainty of a quantity that lies within ± half_width: over root 3, root 6 or root 2
// (GUM 4.3.7, 4.3.9; arcsine: JCGM 101 6.4.6). Throws BadInput for normal and student, which have no ends.
double standard_uncertainty(Distribution distribution, double half_width);

struct BudgetCorrelation {
    std::size_t a = 0, b = 0;  // positions of the inputs
    double r = 0;
};

struct Budget {
    std::string model;
    std::vector<BudgetInput> inputs;
    std::vector<BudgetCorrelation> correlations;
    double probability = 0.95;
};

struct BudgetContribution {
    double sensitivity = 0;  // dy/dx at the estimates
    double u_y = 0;          // |sensitivity| * u
    double share_percent =
        0;  // of u squared, its half of every correlation included: sums to 100, can be negative
};

struct GumResult {
    double y = 0, u = 0;
    double dof_eff =
        std::numeric_limits<double>::infinity();  // as calculated; k uses it cut down to a whole number
    double k = 0, U = 0;
    std::vector<BudgetContribution> contributions;  // one per input
};

// First-order propagation with correlations (GUM 5.1.2, 5.2.2), derivatives by dual numbers;
// Welch-Satterthwaite (GUM G.4.1) cut down to a whole number, k from Student's t, U = k u. The formula is for
// independent inputs: correlated ones enter as one part with the least of their degrees of freedom (exact
// where they come from the same simultaneous sets, as in GUM H.2). Checked: GUM H.1, H.2, H.3, JCGM
// 101 9.2, 9.3, 9.4 (tests/calibrate/budget_test.cpp), all printed digits. Throws BadInput: a model that
// can't be read, has no value or no derivative at the estimates; correlations outside
// [-1, 1] or impossible together (not positive semi-definite); probability not inside (0, 1).
GumResult evaluate_gum(const Budget& budget);

// The correlation matrix, row by row, after the checks above.
std::vector<double> correlation_matrix(const Budget& budget);

// A budget from a TOML file as the contract describes it. Throws BadInput with file and line.
Budget read_budget(const std::string& path);

}  // namespace halfturn::calibrate
