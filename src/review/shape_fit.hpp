// Shapes that a seat may have, each fitted to a slide with all that is doubtful weighed in.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "review/grip_problem.hpp"
#include "review/seat_profile.hpp"

namespace halfturn::review {

// The grip along the depth is 1 + size * at(z), z from 0 at the mouth to 1 at the inner end; nothing changes outside from..to.
struct Form {
    SeatShape shape;
    double from, to;  // of the depth
    double at(double z) const;
};

// The places and widths that are looked at.
std::vector<Form> seat_forms();

struct FormFit {
    double chi2 = 0;
    double base_N = 0;  // the even grip
    double size = 0, u_size = 0;
    Eigen::VectorXd solution;  // base, size times base where there is a form, then the waves
    double misfit = 1;         // chi2 over the degrees of freedom, at least 1
};

// Least squares on one slide: an even grip, a form on it, and a ripple beside it.
class FormFitter {
public:
    explicit FormFitter(const GripProblem& problem);

    // Beside the once-per-turn ripple, where enough turns were made to tell.
    FormFit even() const;
    FormFit with(const Form& form) const;
    // Beside these waves (columns as GripProblem::waves gives them, whitened).
    FormFit with(const Form& form, const Eigen::MatrixXd& waves) const;

private:
    FormFit fit(const Form* form, const Eigen::MatrixXd& waves) const;

    Eigen::MatrixXd forward_, ripple_;  // whitened, as is the force
    Eigen::VectorXd force_;
};

}  // namespace halfturn::review
