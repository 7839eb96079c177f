#include "calibrate/monte_carlo.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "calibrate/probability.hpp"
#include "core/failure.hpp"

namespace halfturn::calibrate {
namespace {

// The standard's own distributions differ between libraries, so the transformations are written out.
class Draws {
public:
    explicit Draws(std::uint64_t seed) : engine_(seed) {}

    double uniform() { return (static_cast<double>(engine_() >> 11) + 0.5) * 0x1p-53; }  // inside (0, 1)

    double normal() {
        if (spare_) return *std::exchange(spare_, {});
        double a, b, s;
        do {
            a = 2 * uniform() - 1;
            b = 2 * uniform() - 1;
            s = a * a + b * b;
        } while (s >= 1 || s == 0);
        const double factor = std::sqrt(-2 * std::log(s) / s);
        spare_ = b * factor;
        return a * factor;
    }

    // Marsaglia and Tsang 2000, for shape >= 1; below, by the usual step up.
    double gamma(double shape) {
        if (shape < 1) return gamma(shape + 1) * std::pow(uniform(), 1 / shape);
        const double d = shape - 1.0 / 3, c = 1 / std::sqrt(9 * d);
        while (true) {
            const double x = normal();
            const double root = 1 + c * x;
            if (root <= 0) continue;
            const double v = root * root * root;
            if (std::log(uniform()) < 0.5 * x * x + d - d * v + d * std::log(v)) return d * v;
        }
    }

    double student(double dof) { return normal() / std::sqrt(2 * gamma(dof / 2) / dof); }

private:
    std::mt19937_64 engine_;
    std::optional<double> spare_;
};

// One independent draw in standard uncertainties from the estimate.
double draw(Draws& draws, const BudgetInput& input) {
    switch (input.distribution) {
        case Distribution::rectangular:
            return std::sqrt(3.0) * (2 * draws.uniform() - 1);
        case Distribution::triangular: {
            const double first = draws.uniform();
            return std::sqrt(6.0) * (first + draws.uniform() - 1);
        }
        case Distribution::arcsine:
            return std::sqrt(2.0) * std::sin(2 * std::numbers::pi * draws.uniform());
        case Distribution::student:
            return std::isfinite(input.dof) ? draws.student(input.dof) : draws.normal();
        default:
            return draws.normal();
    }
}

// A correlated normal as a value of the input's own distribution, in standard uncertainties.
double through_normal(double z, const BudgetInput& input) {
    const double p = 0.5 * std::erfc(-z / std::numbers::sqrt2);
    switch (input.distribution) {
        case Distribution::rectangular:
            return std::sqrt(3.0) * (2 * p - 1);
        case Distribution::triangular:
            return std::sqrt(6.0) * (p < 0.5 ? std::sqrt(2 * p) - 1 : 1 - std::sqrt(2 * (1 - p)));
        case Distribution::arcsine:
            return std::sqrt(2.0) * std::sin(std::numbers::pi * (p - 0.5));
        case Distribution::student: {
            if (!(input.dof < 1e8)) return z;
            const boost::math::students_t_distribution<> t(input.dof);
            const double tail = 0.5 * std::erfc(std::fabs(z) / std::numbers::sqrt2);
            if (tail == 0) return z;
            return std::copysign(boost::math::quantile(boost::math::complement(t, tail)), z);
        }
        default:
            return z;
    }
}

struct Ends {
    double low, high;
};

// JCGM 101 7.7.2 and 7.7.3; `sorted` rises.
Ends interval_of(const std::vector<double>& sorted, double probability, CoverageInterval kind) {
    const std::size_t m = sorted.size();
    const auto q = std::min(m - 1, static_cast<std::size_t>(std::llround(probability * static_cast<double>(m))));
    if (kind == CoverageInterval::symmetric) {
        const std::size_t r = (m - q) / 2;
        return {sorted[r == 0 ? 0 : r - 1], sorted[std::min(m - 1, (r == 0 ? 0 : r - 1) + q)]};
    }
    std::size_t best = 0;
    for (std::size_t r = 0; r + q < m; ++r)
        if (sorted[r + q] - sorted[r] < sorted[best + q] - sorted[best]) best = r;
    return {sorted[best], sorted[best + q]};
}

}  // namespace

MonteCarloResult evaluate_monte_carlo(const Budget& budget, std::size_t trials, std::uint64_t seed,
                                      CoverageInterval kind) {
    constexpr std::size_t fewest_trials = 10000, batches = 20, block = 2048;
    if (trials < fewest_trials) throw BadInput("a coverage interval needs 10000 trials or more");
    const std::size_t n = budget.inputs.size();
    std::vector<std::string> names;
    for (const auto& input : budget.inputs) names.push_back(input.name);
    const Expression model = Expression::parse(budget.model, names);

    // A root of the correlation matrix: from its eigenvectors, since full correlation leaves Cholesky without
    // a root.
    const std::vector<double> r = correlation_matrix(budget);
    const auto size = static_cast<Eigen::Index>(n);
    const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> eigen(
        Eigen::Map<const Eigen::MatrixXd>(r.data(), size, size));
    const Eigen::MatrixXd root =
        eigen.eigenvectors() * eigen.eigenvalues().cwiseMax(0).cwiseSqrt().asDiagonal();
    std::vector<bool> correlated(n, false);
    for (const auto& correlation : budget.correlations)
        if (correlation.r != 0) correlated[correlation.a] = correlated[correlation.b] = true;
    const bool any_correlated = std::find(correlated.begin(), correlated.end(), true) != correlated.end();

    Draws draws(seed);
    MonteCarloResult result;
    result.trials = trials;
    result.seed = seed;
    std::vector<double> values(trials);
    std::vector<std::vector<double>> columns(n, std::vector<double>(block));
    std::vector<const double*> pointers;
    pointers.reserve(n);
    for (const auto& column : columns) pointers.push_back(column.data());
    Eigen::VectorXd independent(size), tied(size);
    for (std::size_t start = 0; start < trials; start += block) {
        const std::size_t count = std::min(block, trials - start);
        for (std::size_t k = 0; k < count; ++k) {
            if (any_correlated) {
                for (Eigen::Index i = 0; i < size; ++i) independent(i) = draws.normal();
                tied.noalias() = root * independent;
            }
            for (std::size_t i = 0; i < n; ++i) {
                const auto& input = budget.inputs[i];
                const double step = correlated[i] ? through_normal(tied(static_cast<Eigen::Index>(i)), input)
                                                  : draw(draws, input);
                columns[i][k] = input.value + input.u * step;
            }
        }
        model.values(pointers, count, values.data() + start);
    }
    result.without_value = static_cast<std::size_t>(
        std::count_if(values.begin(), values.end(), [](double v) { return !std::isfinite(v); }));
    if (result.without_value > 0) return result;
    const MeanAndSd spread = mean_and_sd(values);
    result.mean = spread.mean;
    result.u = spread.sd;
    std::vector<double> lows, highs;
    for (std::size_t b = 0; b < batches; ++b) {
        const auto at = [&](std::size_t i) {
            return values.begin() + static_cast<std::ptrdiff_t>(i * trials / batches);
        };
        std::vector<double> part(at(b), at(b + 1));
        std::sort(part.begin(), part.end());
        const Ends ends = interval_of(part, budget.probability, kind);
        lows.push_back(ends.low);
        highs.push_back(ends.high);
    }
    result.end_noise =
        std::max(mean_and_sd(lows).sd, mean_and_sd(highs).sd) / std::sqrt(static_cast<double>(batches));
    std::sort(values.begin(), values.end());
    const Ends ends = interval_of(values, budget.probability, kind);
    result.low = ends.low;
    result.high = ends.high;
    return result;
}

Agreement compare(const GumResult& gum, const MonteCarloResult& monte_carlo) {
    Agreement out;
    if (monte_carlo.without_value > 0) return out;
    if (gum.u > 0) {
        // u = c * 10^l with c of two digits; half of 10^l. The rounding first: 9.96 is 10, with a coarser
        // last digit.
        double l = std::floor(std::log10(gum.u)) - 1;
        if (std::round(gum.u / std::pow(10.0, l)) >= 100) ++l;
        out.tolerance = 0.5 * std::pow(10.0, l) + 3 * monte_carlo.end_noise;
    }
    out.low_difference = std::fabs(gum.y - gum.U - monte_carlo.low);
    out.high_difference = std::fabs(gum.y + gum.U - monte_carlo.high);
    out.agrees = out.low_difference <= out.tolerance && out.high_difference <= out.tolerance;
    return out;
}

}  // namespace halfturn::calibrate
