#include "fit/off_axis_pull.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <numbers>

#include "core/failure.hpp"

namespace halfturn::fit {
namespace {

using std::numbers::pi;
constexpr double lock_number = 0.30, stiffer_number = 0.15;
constexpr double locked_force = 6;

// Units inside: lengths along the seat in L, normal force in N0, movements in the radial interference that makes p0.
struct Spring {
    double z, cos, sin, weight;
    double axial = 0, round = 0;  // friction force it holds
};

struct Movement {
    double axial = 0, sideways = 0, tilt = 0;
};

struct Balance {
    double axial = 0, sideways = 0, moment = 0;  // what the seat answers
    std::array<double, 9> slope{};               // of the three by the three movements, row-major
    double slipping = 0;                         // share of the pressed springs that slip
};

class Seat {
public:
    Seat(double radius, double friction) : radius_(radius), friction_(friction) {
        constexpr int along = 14, around = 24;  // half the circumference: the other half mirrors it
        for (int i = 0; i < along; ++i) {
            // Equal shares at these places (Chebyshev points) are the pressure under a rigid punch.
            const double z = 0.5 * std::cos((i + 0.5) * pi / along);
            for (int k = 0; k < around; ++k) {
                const double angle = (k + 0.5) * pi / around;
                springs_.push_back({z, std::cos(angle), std::sin(angle), 1.0 / (along * around)});
            }
        }
    }

    // The answer after a further movement from the present state; keep: make it the present state.
    Balance answer(const Movement& at, const Movement& by, bool keep) {
        Balance b;
        int pressed = 0, slipping = 0;
        for (Spring& s : springs_) {
            // Outward movement u cos - tilt z cos, axial w + tilt R cos, round the ring -(u - tilt z) sin.
            const double raw = 1 + (at.sideways + by.sideways - (at.tilt + by.tilt) * s.z) * s.cos;
            const double p = raw > 0 ? raw * s.weight : 0, p_slope = raw > 0 ? s.weight : 0;
            double axial = s.axial + s.weight * (by.axial + by.tilt * radius_ * s.cos);
            double round = s.round - s.weight * (by.sideways - by.tilt * s.z) * s.sin;
            const double size = std::hypot(axial, round), limit = friction_ * p;
            double aa = s.weight, ar = 0, rr = s.weight, ap = 0,
                   rp = 0;  // slopes by axial, round and normal movement
            const bool slips = size >= limit;
            if (slips && size > 0) {
                const double na = axial / size, nr = round / size, keep_share = limit / size * s.weight;
                aa = keep_share * (1 - na * na);
                ar = -keep_share * na * nr;
                rr = keep_share * (1 - nr * nr);
                ap = friction_ * na * p_slope;
                rp = friction_ * nr * p_slope;
                axial = limit * na;
                round = limit * nr;
            }
            if (p > 0) {
                ++pressed;
                slipping += slips ? 1 : 0;
            }
            // Each movement's share in axial (a), round (r) and normal (n) movement of this spring.
            const std::array<std::array<double, 3>, 3> share{
                {{1, 0, 0}, {0, -s.sin, s.cos}, {radius_ * s.cos, s.z * s.sin, -s.z * s.cos}}};
            const auto force_along = [&](std::size_t i) {
                return share[i][0] * axial + share[i][1] * round + share[i][2] * p;
            };
            b.axial += force_along(0);
            b.sideways += force_along(1);
            b.moment += force_along(2);
            for (std::size_t j = 0; j < 3; ++j) {
                const double da = aa * share[j][0] + ar * share[j][1] + ap * share[j][2];
                const double dr = ar * share[j][0] + rr * share[j][1] + rp * share[j][2];
                const double dn = p_slope * share[j][2];
                for (std::size_t i = 0; i < 3; ++i) {
                    b.slope[3 * i + j] += share[i][0] * da + share[i][1] * dr + share[i][2] * dn;
                }
            }
            if (keep) {
                s.axial = axial;
                s.round = round;
            }
        }
        b.slipping = pressed > 0 ? static_cast<double>(slipping) / pressed : 1;
        return b;
    }

private:
    double radius_, friction_;
    std::vector<Spring> springs_;
};

// Moves the load point on by `step`: finds tilt and sideways shift in balance with a force at `reach`.
Movement find_step(Seat& seat, const Movement& at, double reach, double step, const Movement& guess) {
    const auto movement = [&](double sideways, double tilt) {
        return Movement{step - tilt * reach, sideways, tilt};
    };
    const auto size_of = [&](const Balance& b) { return std::hypot(b.sideways, b.moment - reach * b.axial); };
    double sideways = guess.sideways, tilt = guess.tilt;
    Balance b = seat.answer(at, movement(sideways, tilt), false);
    for (int round = 0; round < 60 && size_of(b) > 1e-9; ++round) {
        // Unknown sideways and tilt, the axial movement following the tilt: columns sideways and (tilt - reach axial).
        const auto& k = b.slope;
        const double a11 = k[4], a12 = k[5] - reach * k[3];
        const double a21 = k[7] - reach * k[1], a22 = k[8] - reach * k[6] - reach * (k[2] - reach * k[0]);
        const double g1 = b.sideways, g2 = b.moment - reach * b.axial;
        const double det = a11 * a22 - a12 * a21;
        if (!(std::abs(det) > 1e-30)) break;
        const double d1 = -(g1 * a22 - g2 * a12) / det, d2 = -(a11 * g2 - a21 * g1) / det;
        double part = 1;
        Balance next;
        for (int halving = 0; halving < 12; ++halving, part *= 0.5) {
            next = seat.answer(at, movement(sideways + part * d1, tilt + part * d2), false);
            if (size_of(next) < size_of(b)) break;
        }
        sideways += part * d1;
        tilt += part * d2;
        b = next;
    }
    return movement(sideways, tilt);
}

// Mean pressure multiple over the outer tenth of the seat on the pressed side; 2.05 of the mean before the tilt.
double edge_multiple(const Movement& at) {
    constexpr double outer_share = 2.048,
                     outer_place = 0.4662;  // load and its centre within the outer tenth, 1/sqrt
    const double lift = std::abs(at.tilt) * outer_place + std::abs(at.sideways);
    return outer_share * (1 + lift);
}

void check(bool holds, const char* text) {
    if (!holds) throw BadInput(text);
}

}  // namespace

double pivot_knee(double reach_over_radius) {
    if (!(reach_over_radius > 0)) return 1;
    // e/R falls from infinity to 0 as t goes from pi/2 to pi.
    double low = pi / 2, high = pi;
    for (int i = 0; i < 100; ++i) {
        const double t = 0.5 * (low + high);
        (2 * std::sin(t) > reach_over_radius * (2 * t - pi) ? low : high) = t;
    }
    return 2 * low / pi - 1;
}

OffAxisResult off_axis_pull(const OffAxisPull& pull) {
    check(pull.seat_radius_mm > 0 && pull.engaged_mm > 0 && pull.interference_um > 0,
          "An off-axis pull needs the seat's radius, the engaged length and the interference, each above 0.");
    check(pull.friction > 0 && pull.friction < 1, "The friction must lie between 0 and 1.");
    check(pull.reach_mm >= 0 && pull.reach_mm < 3 * pull.seat_radius_mm,
          "The reach of the drift can't be negative or more than three times the seat's radius.");
    check(pull.seat_radius_mm / pull.engaged_mm < 200,
          "The engaged length is too short for the seat's radius to be a seat.");
    const double reach = pull.reach_mm / pull.engaged_mm;
    const double travel_um = pull.interference_um / 2;  // one unit of movement
    OffAxisResult result;
    result.knee = pivot_knee(pull.reach_mm / pull.seat_radius_mm);
    result.first_slip = 0;
    result.release = result.settled = 0;
    Seat seat(pull.seat_radius_mm / pull.engaged_mm, pull.friction);
    Movement at, by;
    double travel = 0, step = 0.02 * pull.friction, knee_travel = -1;
    double last_step = step;
    for (int n = 0; n < 600; ++n) {
        const double ratio = n > 0 ? step / last_step : 1;
        by = find_step(seat, at, reach, step, {0, by.sideways * ratio, by.tilt * ratio});
        const Balance b = seat.answer(at, by, true);
        at = {at.axial + by.axial, at.sideways + by.sideways, at.tilt + by.tilt};
        travel += step;
        const double force = b.axial / pull.friction;
        const OffAxisPoint point{travel * travel_um, force, std::abs(at.tilt) * travel_um / pull.engaged_mm,
                                 edge_multiple(at)};
        result.curve.push_back(point);
        if (result.first_slip == 0 && b.slipping > 0) result.first_slip = force;
        if (knee_travel < 0 && force >= result.knee * 0.999) knee_travel = travel;
        if (result.release == 0 && b.slipping >= 0.999) {
            result.release = force;
            result.release_tilt_mrad = point.tilt_mrad;
            result.release_edge_pressure = point.edge_pressure;
            if (knee_travel >= 0) result.wind_up_um = (travel - knee_travel) * travel_um;
        }
        // Settled: the ring moves along without tilting further.
        if (result.release > 0 && std::abs(by.tilt) * reach < 1e-4 * step) {
            result.settled = force;
            break;
        }
        if (force > locked_force) break;
        last_step = step;
        step = std::max(step, std::min(step * 1.2, 0.05 * travel));
    }
    result.locks = result.settled == 0;
    return result;
}

double release_factor(double mu_e_over_L) {
    // Medians of the release force over R/L 1.5-4 and e/R 0.35-0.95.
    struct Row {
        double number, factor;
    };
    static constexpr std::array rows{
        Row{0, 1},        Row{0.05, 0.99}, Row{0.13, 0.99},  Row{0.15, 0.994}, Row{0.165, 1.003}, Row{0.18, 1.018},
        Row{0.195, 1.039}, Row{0.21, 1.08}, Row{0.225, 1.13}, Row{0.24, 1.20},  Row{0.25, 1.265},  Row{0.26, 1.35},
        Row{0.27, 1.46},  Row{0.28, 1.60}, Row{0.29, 1.79},  Row{0.30, 2.05},  Row{0.305, 2.2}};
    // Every row lies at a whole step: within a step the row is the same, but for rounding at its ends.
    constexpr double steps_per_unit = 200;
    static constexpr auto row_of_step = [] {
        std::array<std::uint8_t, 62> row{};  // up to the last row
        std::size_t i = 1;
        for (std::size_t step = 0; step < row.size(); ++step) {
            while (i + 1 < rows.size() && rows[i].number * steps_per_unit < static_cast<double>(step) + 0.5) ++i;
            row[step] = static_cast<std::uint8_t>(i);
        }
        return row;
    }();
    if (!(mu_e_over_L < rows.back().number)) return rows.back().factor;
    std::size_t i = row_of_step[static_cast<std::size_t>(std::max(0.0, mu_e_over_L) * steps_per_unit)];
    if (rows[i].number < mu_e_over_L) ++i;
    if (mu_e_over_L <= rows[i - 1].number && i > 1) --i;
    const Row &below = rows[i - 1], &above = rows[i];
    return below.factor + (mu_e_over_L - below.number) / (above.number - below.number) * (above.factor - below.factor);
}

double cocking_length_mm(double friction, double reach_mm) { return friction * reach_mm / lock_number; }

double stiffening_length_mm(double friction, double reach_mm) { return friction * reach_mm / stiffer_number; }

double travel_until_cocking_mm(double friction, double reach_mm, double engaged_mm) {
    return std::max(0.0, engaged_mm - cocking_length_mm(friction, reach_mm));
}

}  // namespace halfturn::fit
