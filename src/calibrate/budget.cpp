#include "calibrate/budget.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

#include "calibrate/probability.hpp"
#include "core/failure.hpp"
#include "core/number_text.hpp"

namespace halfturn::calibrate {

double standard_uncertainty(Distribution distribution, double half_width) {
    switch (distribution) {
        case Distribution::rectangular:
            return half_width / std::sqrt(3.0);
        case Distribution::triangular:
            return half_width / std::sqrt(6.0);
        case Distribution::arcsine:
            return half_width / std::sqrt(2.0);
        default:
            throw BadInput("a normal or t distribution has no ends, so it has no half_width; give u instead");
    }
}

std::vector<double> correlation_matrix(const Budget& budget) {
    const auto n = static_cast<Eigen::Index>(budget.inputs.size());
    Eigen::MatrixXd matrix = Eigen::MatrixXd::Identity(n, n);
    for (const auto& correlation : budget.correlations) {
        const auto a = static_cast<Eigen::Index>(correlation.a), b = static_cast<Eigen::Index>(correlation.b);
        if (a >= n || b >= n || a == b)
            throw BadInput("a correlation needs two different inputs of the model");
        if (!(correlation.r >= -1 && correlation.r <= 1))
            throw BadInput("a correlation must be from -1 to 1, but is " + number_text(correlation.r));
        if (matrix(a, b) != 0)
            throw BadInput("the correlation of " + budget.inputs[correlation.a].name + " and " +
                           budget.inputs[correlation.b].name + " is given twice");
        matrix(a, b) = matrix(b, a) = correlation.r;
    }
    if (n > 0 && Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd>(matrix).eigenvalues().minCoeff() < -1e-9)
        throw BadInput(
            "the correlations can't all be true together (their matrix is not positive semi-definite); check "
            "their signs");
    return {matrix.data(), matrix.data() + matrix.size()};
}

namespace {

// The inputs in sets that are tied by correlations: set number of each input.
std::vector<std::size_t> tied_sets(const Budget& budget) {
    std::vector<std::size_t> set(budget.inputs.size());
    std::iota(set.begin(), set.end(), std::size_t{0});
    for (const auto& correlation : budget.correlations) {
        if (correlation.r == 0) continue;
        const std::size_t keep = std::min(set[correlation.a], set[correlation.b]);
        const std::size_t gone = std::max(set[correlation.a], set[correlation.b]);
        std::replace(set.begin(), set.end(), gone, keep);
    }
    return set;
}

}  // namespace

GumResult evaluate_gum(const Budget& budget) {
    if (!(budget.probability > 0 && budget.probability < 1))
        throw BadInput("the coverage probability must lie between 0 and 1, like 0.95");
    const std::size_t n = budget.inputs.size();
    std::vector<std::string> names;
    std::vector<double> estimates;
    for (const auto& input : budget.inputs) {
        names.push_back(input.name);
        estimates.push_back(input.value);
    }
    const auto at = Expression::parse(budget.model, names).gradient(estimates);
    if (!std::isfinite(at.value))
        throw BadInput(
            "the model has no value at the estimates (a division by zero, or a root or log of a negative "
            "number)");
    GumResult result;
    result.y = at.value;
    const std::vector<double> r = correlation_matrix(budget);
    std::vector<double> signed_u(n);
    for (std::size_t i = 0; i < n; ++i) {
        if (!std::isfinite(at.derivatives[i]))
            throw BadInput("the model has no derivative by " + names[i] +
                           " at the estimates; rewrite it or shift the estimate");
        signed_u[i] = at.derivatives[i] * budget.inputs[i].u;
    }
    // By a power of two, so that the largest part's square neither overflows nor vanishes, and no digit changes.
    double largest = 0;
    for (const double one : signed_u) largest = std::max(largest, std::fabs(one));
    const int exponent = largest > 0 ? std::ilogb(largest) : 0;
    for (double& one : signed_u) one = std::ldexp(one, -exponent);
    const auto sets = tied_sets(budget);
    std::vector<double> part(n, 0.0);  // of u squared
    double variance = 0;
    for (std::size_t i = 0; i < n; ++i) {
        for (std::size_t j = 0; j < n; ++j) part[i] += signed_u[i] * signed_u[j] * r[i * n + j];
        variance += part[i];
    }
    variance = std::max(variance, 0.0);  // rounding, where correlated parts cancel
    result.u = std::ldexp(std::sqrt(variance), exponent);
    struct Set {
        double variance = 0, dof = std::numeric_limits<double>::infinity();
    };
    std::map<std::size_t, Set> by_set;
    for (std::size_t i = 0; i < n; ++i) {
        Set& set = by_set[sets[i]];
        set.variance += part[i];
        if (signed_u[i] != 0) set.dof = std::min(set.dof, budget.inputs[i].dof);
        result.contributions.push_back(
            {at.derivatives[i], std::fabs(std::ldexp(signed_u[i], exponent)), variance > 0 ? 100 * part[i] / variance : 0});
    }
    double sum = 0;
    for (const auto& [number, set] : by_set) sum += set.variance * set.variance / set.dof;
    if (sum > 0 && variance > 0) result.dof_eff = variance * variance / sum;
    // Cut down, not rounded (GUM G.4.1 note 1); the hair is for sums that are whole but for rounding.
    const double whole = std::max(1.0, std::floor(result.dof_eff * (1 + 1e-12)));
    result.k = student_coverage_factor(budget.probability, whole);
    result.U = result.k * result.u;
    return result;
}

}  // namespace halfturn::calibrate
