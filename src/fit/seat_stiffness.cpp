#include "fit/seat_stiffness.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "fit/section_solver.hpp"

namespace halfturn::fit {
namespace {

// Logarithm of (f - 1) = a + b ln(D/B) + c x + d x² + e ln(Eh/70 GPa) + g ln(1 + 2.5 mm/(Do - D)), x = ln(Do/D - 1);
// least squares over 1568 finite-element solutions of each shape (the table in the header).
struct Fitted {
    HousingShape shape;
    double a, b, c, d, e, g;
    double form_rel_u;  // of N: what the form leaves, worst error / 2
    double
        details_rel_u;  // of N: shoulder height, lengths and flange sizes that the shape's name leaves open
    double raceway;     // groove bottom of the finite-element runs over Lamé's equal-area ring, median
};

constexpr std::array fitted{
    Fitted{HousingShape::flush, 0, 0, 0, 0, 0, 0, 0.004, 0.010, 0.99},
    Fitted{HousingShape::bore_goes_on, -1.8894, 0.6252, 0.1668, -0.0328, -0.0703, 0, 0.015, 0.030, 0.98},
    Fitted{HousingShape::shoulder_behind, -1.9186, 0.6882, 0.1729, -0.0572, -0.0690, 1.1177, 0.020, 0.045,
           0.98},
    Fitted{HousingShape::long_tube, -1.3495, 1.2949, 0.2321, -0.1175, -0.0031, 0, 0.028, 0.030, 0.96},
    Fitted{HousingShape::flange_behind, -1.7221, 0.6628, -0.0070, 0, -0.0791, 0.6431, 0.042, 0.040, 0.98},
    Fitted{HousingShape::flange_over_seat, -1.0525, 0.2938, -0.3950, 0.1138, 0.0105, 0.2696, 0.016, 0.070,
           0.99},
};

double stiffening(const Fitted& fit, double D, double B, double Do, double house_E_GPa) {
    if (fit.shape == HousingShape::flush) return 1;
    const double x = std::log(std::clamp(Do / D, 1.1, 2.5) - 1);  // the range it was fitted over
    return 1 + std::exp(fit.a + fit.b * std::log(D / B) + fit.c * x + fit.d * x * x +
                        fit.e * std::log(house_E_GPa / 70) + fit.g * std::log(1 + 2.5 / (Do - D)));
}

double ring_compliance(const RingSection& ring, double bore_mm) {
    const double D2 = ring.D_mm * ring.D_mm, b2 = bore_mm * bore_mm;
    return ring.D_mm / (ring.E_GPa * 1e3) * ((D2 + b2) / (D2 - b2) - ring.nu);
}

// Relative doubt of N that the ring's section leaves: N = area / (c_ring + c_house), only c_ring moves.
double ring_doubt(const RingSection& ring, double N_per_um) {
    const double area_mm2 = std::numbers::pi * ring.D_mm * ring.B_mm;
    const double change = ring_compliance(ring, ring.equal_area_bore_mm + ring.equal_area_bore_u_mm) -
                          ring_compliance(ring, ring.equal_area_bore_mm);
    return change * N_per_um / (1e-3 * area_mm2);
}

double house_compliance(const Housing& housing, double D, double Do) {
    const double D2 = D * D, o2 = Do * Do;
    return D / (housing.E_GPa * 1e3) * ((o2 + D2) / (o2 - D2) + housing.nu);
}

struct Span {
    double low, high;
};

// Outside diameters that may count: the smallest over the ring, the largest up to a width away from it.
Span outsides(const RingSection& ring, const Housing& housing) {
    if (housing.steps.empty()) {
        if (housing.outside_mm > ring.D_mm + 0.1) return {housing.outside_mm, housing.outside_mm};
        throw BadInput("The housing's outside diameter of " + figures_text(housing.outside_mm, 5) +
                       " mm must be larger than the seat's " + figures_text(ring.D_mm, 5) + " mm.");
    }
    const HousingSection section = housing_section(housing, ring);
    const double from = section.seat_from_mouth_mm, to = from + ring.B_mm;
    Span span{1e9, 0};
    double step_from = 0;
    for (const HousingStep& step : section.steps) {
        const double step_to = step_from + step.length_mm;
        if (step_to > from && step_from < to) span.low = std::min(span.low, step.outside_mm);
        if (step_to > from - ring.B_mm && step_from < to + ring.B_mm)
            span.high = std::max(span.high, step.outside_mm);
        step_from = step_to;
    }
    return span;
}

// Median shares over 24 finite-element runs of each shape (rings 61802 to 6304, Do/D 1.15 to 2.5, aluminium), by the
// travel in widths from the mouth; real ones lie within 0.03 for a flush housing, 0.10 for the others.
constexpr std::array widths{0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.85, 0.9};
constexpr std::array flush_shares{0.992, 0.969, 0.888, 0.781, 0.668, 0.566,
                                  0.473, 0.391, 0.321, 0.288, 0.254};
constexpr std::array open_shares{0.968, 0.933, 0.859, 0.777, 0.692, 0.611, 0.533, 0.452, 0.369, 0.328, 0.284};
constexpr std::array tube_shares{0.796, 0.762, 0.693, 0.622, 0.558, 0.495, 0.432, 0.367, 0.304, 0.272, 0.241};

GripLeft usual_grip_left(const RingSection& ring, HousingShape shape) {
    const double B = ring.B_mm;
    const bool tube = shape == HousingShape::long_tube;
    const double before_mm = tube ? std::max(3 * B, ring.D_mm) : 0;
    const auto& shares = tube ? tube_shares : shape == HousingShape::flush ? flush_shares : open_shares;
    GripLeft left{{0}, {1}};
    const auto add = [&](double mm, double share) {
        left.travel_mm.push_back(mm);
        left.share.push_back(share);
    };
    if (tube) {  // the grip lasts until half a radius of tube is left in front of the ring
        add(before_mm - 0.25 * ring.D_mm, 1);
        add(before_mm, 0.83);
    }
    const double clear = before_mm + B - ring.chamfer_mm;
    for (std::size_t i = 0; i < widths.size(); ++i) {
        if (before_mm + widths[i] * B < clear - 0.01 * B) add(before_mm + widths[i] * B, shares[i]);
    }
    add(clear, 0);
    return left;
}

// Travels to solve at: where the ring starts, a few places on its way, and close to the end.
std::vector<double> travels_to_solve(const RingSection& ring, const HousingSection& section) {
    const double B = ring.B_mm, clear = clear_travel_mm(ring, section);
    const double leaves_from =
        clear - (B - ring.chamfer_mm);  // travel at which the outer face passes the mouth
    std::vector<double> travels{0};
    for (const double w : {-1.0, -0.6, -0.3, -0.1, 0.05, 0.15, 0.3, 0.45, 0.6, 0.75, 0.85}) {
        const double mm = leaves_from + w * B;
        if (mm > 0.02 * B && mm < clear - 0.03 * B) travels.push_back(mm);
    }
    travels.push_back(clear - 0.02 * B);
    return travels;
}

void fill_by_section(SeatStiffness& seat, const RingSection& ring, const Housing& housing) {
    const HousingSection section = housing_section(housing, ring);
    const Elastic metal{housing.E_GPa * 1e3, housing.nu};
    const SectionResult here = solve_section(ring, section, metal);
    seat.N_per_um = here.N_per_um;
    seat.raceway_um_per_um = here.raceway_um_per_um;
    seat.hoop_MPa_per_um = here.hoop_mean_MPa_per_um;
    seat.contact_length_mm = here.engaged_mm;
    seat.lambda = here.lambda;
    // Shares need less fineness than the force itself: the coarser mesh stays within 0.002 of the fine one.
    const SectionFineness coarse{0.15, 0.5, 0.2};
    SectionResult first;
    for (const double mm : travels_to_solve(ring, section)) {
        SectionResult slid;  // nothing grips where the way out is wider than the ring
        if (engaged_mm(ring, section, mm) > 0) slid = solve_section(ring, section, metal, mm, coarse);
        if (mm == 0) first = slid;
        seat.grip_left.travel_mm.push_back(mm);
        seat.grip_left.share.push_back(slid.N_per_um / first.N_per_um);
        seat.lambda_left.travel_mm.push_back(mm);
        seat.lambda_left.share.push_back(slid.lambda / first.lambda);
    }
    for (GripLeft* left : {&seat.grip_left, &seat.lambda_left}) {
        left->travel_mm.push_back(clear_travel_mm(ring, section));
        left->share.push_back(0);
    }
}

const Fitted* fitted_for(const Housing& housing) {
    if (!housing.steps.empty() || housing.shape == HousingShape::unknown) return nullptr;
    return &fitted[static_cast<std::size_t>(housing.shape)];
}

void check_metal(const Housing& housing) {
    if (!(housing.E_GPa > 0.1 && housing.E_GPa < 1000) || !(housing.nu >= 0 && housing.nu < 0.49)) {
        throw BadInput(
            "The housing needs an elastic modulus between 0.1 and 1000 GPa and a Poisson's ratio below "
            "0.49.");
    }
}

}  // namespace

double GripLeft::at(double mm) const {
    if (!(mm > 0)) return 1;
    if (mm >= clear_mm()) return 0;
    const auto upper = std::upper_bound(travel_mm.begin(), travel_mm.end(), mm);
    const auto i = static_cast<std::size_t>(upper - travel_mm.begin());
    const double t = (mm - travel_mm[i - 1]) / (travel_mm[i] - travel_mm[i - 1]);
    return share[i - 1] + t * (share[i] - share[i - 1]);
}

double GripLeft::clear_mm() const { return travel_mm.empty() ? 0 : travel_mm.back(); }

SeatStiffness seat_stiffness_by_correction(const RingSection& ring, const Housing& housing) {
    check_metal(housing);
    const double D = ring.D_mm, B = ring.B_mm, bore = ring.equal_area_bore_mm;
    const Span outside = outsides(ring, housing);
    const double area_mm2 = std::numbers::pi * D * B;
    const auto normal_per_um = [&](const Fitted& fit, double Do) {
        const double f = stiffening(fit, D, B, Do, housing.E_GPa);
        return 1e-3 * area_mm2 / (ring_compliance(ring, bore) + house_compliance(housing, D, Do) / f);
    };
    SeatStiffness seat;
    seat.method = StiffnessMethod::correction;
    const Fitted* fit = fitted_for(housing);
    double shape_u = 0, raceway_ratio = 0.98;
    if (fit) {
        seat.N_per_um = normal_per_um(*fit, outside.low);
        shape_u = std::hypot(fit->form_rel_u, fit->details_rel_u);
        raceway_ratio = fit->raceway;
    } else {  // anything between the softest shape with the thinnest wall and the stiffest with the thickest, evenly
        Span N{1e12, 0};
        for (const Fitted& any : fitted) {
            N.low = std::min(N.low, normal_per_um(any, outside.low));
            N.high = std::max(N.high, normal_per_um(any, outside.high));
        }
        seat.N_per_um = (N.low + N.high) / 2;
        shape_u = (N.high - N.low) / std::sqrt(12.0) / seat.N_per_um;
    }
    seat.N_per_um_rel_u = std::hypot(ring_doubt(ring, seat.N_per_um), shape_u);

    // Lamé's ring of the same area under the seat's mean pressure; the groove bottom lies close to its bore.
    const double p = seat.N_per_um / area_mm2, D2 = D * D;
    const double lost_mm = 2 * p * D2 * bore / (ring.E_GPa * 1e3 * (D2 - bore * bore));
    seat.raceway_um_per_um = 1e3 * raceway_ratio * lost_mm;
    // A thinner ring takes less force but gives way more, so its own doubt nearly cancels here.
    seat.raceway_um_per_um_rel_u = std::hypot(shape_u, 0.04);
    const double Do2 = outside.low * outside.low;
    seat.hoop_MPa_per_um = p * (Do2 + D2) / (Do2 - D2);
    seat.contact_length_mm = B - 2 * ring.chamfer_mm;
    seat.grip_left = usual_grip_left(ring, housing.steps.empty() ? housing.shape : HousingShape::unknown);
    seat.grip_left_u = fitted_for(housing) == &fitted.front() ? 0.02 : 0.05;
    seat.lambda_left = seat.grip_left;
    seat.lambda = seat.raceway_um_per_um;
    seat.lambda_rel_u = std::hypot(seat.raceway_um_per_um_rel_u, 0.05);
    return seat;
}

SeatStiffness seat_stiffness(const RingSection& ring, const Housing& housing) {
    if (housing.steps.empty() && housing.shape == HousingShape::unknown)
        return seat_stiffness_by_correction(ring, housing);
    check_metal(housing);
    SeatStiffness seat;
    seat.method = StiffnessMethod::section;
    fill_by_section(seat, ring, housing);
    // What is left is the ring's own doubt and, for a named shape, the sizes its name does not tell.
    const Fitted* fit = fitted_for(housing);
    const double details_u = fit ? fit->details_rel_u : 0;
    seat.N_per_um_rel_u = std::hypot(ring_doubt(ring, seat.N_per_um), details_u, 0.005);
    seat.raceway_um_per_um_rel_u = std::hypot(details_u, 0.02);
    seat.grip_left_u = fit && fit != &fitted.front() ? 0.03 : 0.01;
    seat.lambda_rel_u = std::hypot(seat.raceway_um_per_um_rel_u, 0.05);
    return seat;
}

}  // namespace halfturn::fit
