#include "fit/pull.hpp"

#include <algorithm>
#include <boost/math/special_functions/ellint_1.hpp>
#include <boost/math/special_functions/ellint_2.hpp>
#include <cmath>
#include <numbers>

#include "core/failure.hpp"

namespace halfturn::fit {
namespace {

constexpr double degree = std::numbers::pi / 180;

// Approach of two steel bodies pressed together with 1 N, from the principal curvatures (1/mm): sum and difference/sum.
double hertz_give(double curvature_sum, double curvature_difference, double E_MPa, double nu) {
    // The ellipse's axis ratio k >= 1 follows from the difference, which rises with k from 0 to 1.
    const auto difference_of = [](double k) {
        const double m = std::sqrt(1 - 1 / (k * k));
        const double K = boost::math::ellint_1(m), E = boost::math::ellint_2(m);
        return ((k * k + 1) * E - 2 * K) / ((k * k - 1) * E);
    };
    double low = 1, high = 1e3;
    if (curvature_difference < 1e-9) high = low;
    for (int i = 0; i < 100 && high - low > 1e-12 * high; ++i) {
        const double k = std::sqrt(low * high);
        (k > 1 + 1e-7 && difference_of(k) > curvature_difference ? high : low) = k;
    }
    const double k = low, m = std::sqrt(std::max(0.0, 1 - 1 / (k * k)));
    const double K = boost::math::ellint_1(m), E = boost::math::ellint_2(m);
    const double shape = 2 * K / std::numbers::pi * std::cbrt(std::numbers::pi / (2 * k * k * E));
    const double soft = 2 * (1 - nu * nu) / E_MPa;
    return shape * std::pow(3 * soft / (2 * curvature_sum), 2.0 / 3) * curvature_sum / 2;
}

double groove_give(double ball_mm, double groove_mm, double rolling_curvature, double E_MPa, double nu) {
    const double sum = 4 / ball_mm - 1 / groove_mm + rolling_curvature;
    const double difference = std::abs(rolling_curvature + 1 / groove_mm) / sum;
    return hertz_give(sum, difference, E_MPa, nu);
}

struct Path {
    double A_mm, cos0, give;
    double balls;

    explicit Path(const BallPath& path)
        : A_mm(2 * path.groove_radius_mm - path.ball_mm),
          cos0(1 - 1e-3 * path.clearance_um / (2 * A_mm)),
          give(ball_give(path)),
          balls(path.ball_count) {
        if (!(cos0 > 0.5 && cos0 < 1.2)) {
            throw BadInput(
                "A clearance of that size doesn't fit these balls and grooves: it must lie between -0.4 and "
                "1 "
                "times the gap of the two groove centres.");
        }
    }
    double smallest_angle() const { return cos0 < 1 ? std::acos(cos0) : 0; }
    double ball_load_N(double angle) const {
        return std::pow(std::max(0.0, A_mm * (cos0 / std::cos(angle) - 1)) / give, 1.5);
    }
    double preload_N() const { return cos0 > 1 ? balls * ball_load_N(0) : 0; }  // radial, all balls
};

// The angle at which a rising function crosses zero.
template <typename Function>
double crossing(const Function& f, double low, double high) {
    for (int i = 0; i < 200 && high - low > 1e-15; ++i) {
        const double middle = 0.5 * (low + high);
        (f(middle) < 0 ? low : high) = middle;
    }
    return 0.5 * (low + high);
}

constexpr double steepest = 80 * degree;

}  // namespace

BallPath ball_path(const RingSection& ring) {
    BallPath path;
    path.ball_mm = ring.ball_mm;
    path.ball_count = ring.ball_count;
    path.pitch_mm = (ring.d_mm + ring.D_mm) / 2;
    path.groove_radius_mm = ring.groove_radius_mm;
    path.E_GPa = ring.E_GPa;
    path.nu = ring.nu;
    return path;
}

double ball_give(const BallPath& path) {
    if (!(path.ball_mm > 0 && path.pitch_mm > path.ball_mm && path.ball_count > 0)) {
        throw BadInput("The balls need a diameter, a number, and a circle larger than one ball.");
    }
    if (!(path.groove_radius_mm > 0.501 * path.ball_mm && path.groove_radius_mm < path.ball_mm)) {
        throw BadInput(
            "The groove's radius must be a little over half the ball's diameter (usually 0.53 of it).");
    }
    const double ratio = path.ball_mm / path.pitch_mm;
    const double inner = 2 / path.ball_mm * ratio / (1 - ratio),
                 outer = -2 / path.ball_mm * ratio / (1 + ratio);
    const double E_MPa = path.E_GPa * 1e3;
    return groove_give(path.ball_mm, path.groove_radius_mm, inner, E_MPa, path.nu) +
           groove_give(path.ball_mm, path.groove_radius_mm, outer, E_MPa, path.nu);
}

double contact_angle_deg(const BallPath& path, double axial_N) {
    if (!(axial_N >= 0)) throw BadInput("The axial force on the balls can't be negative.");
    const Path balls(path);
    const auto excess = [&](double a) { return balls.balls * balls.ball_load_N(a) * std::sin(a) - axial_N; };
    return crossing(excess, balls.smallest_angle(), steepest) / degree;
}

AcrossBalls release_across_balls(const BallPath& path, double on_ring_N, double mu_lambda) {
    if (!(on_ring_N >= 0 && mu_lambda >= 0 && mu_lambda < 2)) {
        throw BadInput(
            "The seat's force and its gain from the balls can't be negative, nor the gain above 2.");
    }
    const Path balls(path);
    // Axial force less mu N, which rises with the angle once it has passed the angle of self-locking (tan a = mu lambda);
    // below that it is negative, so there is one crossing.
    const auto excess = [&](double a) {
        const double load = balls.balls * balls.ball_load_N(a);
        return load * std::sin(a) - mu_lambda * (load * std::cos(a) - balls.preload_N()) - on_ring_N;
    };
    const double from = std::max(balls.smallest_angle(), std::atan(mu_lambda) * 0.5);
    const double angle = crossing(excess, from, steepest);
    AcrossBalls pull;
    pull.ball_load_N = balls.ball_load_N(angle);
    pull.force_N = balls.balls * pull.ball_load_N * std::sin(angle);
    pull.factor = on_ring_N > 0 ? pull.force_N / on_ring_N : 1;
    pull.contact_angle_deg = angle / degree;
    return pull;
}

}  // namespace halfturn::fit
