// The smoothest grip along a seat that the readings allow: regularised least squares, never below zero.
// Source: Hansen, Discrete Inverse Problems, ch. 4-5 (from memory).
#pragma once

#include <Eigen/Core>

#include "review/grip_problem.hpp"

namespace halfturn::review {

struct SmoothestGrip {
    Eigen::VectorXd grip_N;  // of each cell: the force if the whole seat were like it
    Eigen::VectorXd u_N;     // its standard uncertainty
    double chi2 = 0;         // over the stretches' scatter; near their number where the grip explains them
    double resolved_mm = 0;  // the finest detail it shows
};

// mean_N: the grip of an even seat that fits the same readings, positive; it says what a small bend is.
SmoothestGrip smoothest_grip(const GripProblem& problem, double mean_N);

}  // namespace halfturn::review
