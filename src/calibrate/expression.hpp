// A model written as text, "ls + d - ls*(dalpha*theta + alphas*dtheta)", evaluated with its exact
// derivatives.
//   const auto model = Expression::parse("V/I*cos(phi)", {"V", "I", "phi"});  model.gradient({5,
//   0.02, 1.04}).value
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace halfturn::calibrate {

// + - * / ^ ( ), the signs × ÷ · − too; sqrt exp log (natural) sin cos; numbers; names of inputs (letters,
// digits, _ and any letter beyond ASCII); pi, unless an input has that name. ^ binds tightest and to the
// right, -x^2 is -(x^2).
class Expression {
public:
    // Whether a model can call an input so.
    static bool is_name(std::string_view word);

    // names[i] is the input whose value stands at position i. Throws BadInput that quotes the model and the
    // place.
    static Expression parse(std::string_view text, const std::vector<std::string>& names);

    double value(const std::vector<double>& inputs) const;

    // Forward differentiation with dual numbers: exact to rounding, no step size. A derivative that does not
    // exist (sqrt at 0) comes out not finite.
    struct Gradient {
        double value = 0;
        std::vector<double> derivatives;  // one per input
    };
    Gradient gradient(const std::vector<double>& inputs) const;

    // Many trials at once: inputs[i] points to `count` values of input i. Same results as value(), trial by
    // trial.
    void values(const std::vector<const double*>& inputs, std::size_t count, double* results) const;

    enum class Op { number, input, add, subtract, multiply, divide, power, negate, sqrt, exp, log, sin, cos };
    struct Step {
        Op op;
        double number = 0;
        std::size_t input = 0;
    };

private:
    std::vector<Step> steps_;  // postfix
    std::size_t inputs_ = 0, depth_ = 0;
};

}  // namespace halfturn::calibrate
