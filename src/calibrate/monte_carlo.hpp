// Propagation of distributions by Monte Carlo (JCGM 101:2008), beside the GUM's first-order result.
#pragma once

#include <cstddef>
#include <cstdint>

#include "calibrate/budget.hpp"

namespace halfturn::calibrate {

enum class CoverageInterval { symmetric, shortest };  // probabilistically symmetric, or the shortest one

struct MonteCarloResult {
    double mean = 0, u = 0;    // standard deviation of the trials
    double low = 0, high = 0;  // coverage interval of the budget's probability
    double end_noise = 0;      // standard error of the ends, from the spread between batches
    std::size_t trials = 0;
    std::size_t without_value = 0;  // trials where the model gave no number; then nothing else is filled in
    std::uint64_t seed = 0;
};

// Draws: normal, rectangular, triangular, arcsine by their usual transformations, t as normal over the root
// of a gamma (JCGM 101 6.4; Marsaglia and Tsang 2000 for the gamma). Correlated inputs get correlated normals
// (JCGM 101 6.4.8); those that are not normal are mapped from them (Gaussian copula: exact margins, the
// correlation slightly smaller). The same seed gives the same result: 64-bit Mersenne twister,
// transformations of our own. Ends are order statistics (JCGM 101 7.7). Trials: at least 10000; 10^6 take
// some 0.2 s for a short model. Throws BadInput for the same reasons as evaluate_gum.
MonteCarloResult evaluate_monte_carlo(const Budget& budget, std::size_t trials, std::uint64_t seed,
                                      CoverageInterval interval);

// Does y ± U agree with the Monte Carlo interval? JCGM 101 clause 8: both ends within half a unit of the
// second significant digit of u; here also three times the noise of the ends, lest chance decide.
struct Agreement {
    bool agrees = false;
    double tolerance = 0, low_difference = 0, high_difference = 0;
};
Agreement compare(const GumResult& gum, const MonteCarloResult& monte_carlo);

}  // namespace halfturn::calibrate
