#include "fit/seat_stiffness.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/failure.hpp"

namespace halfturn::fit {
namespace {

struct Stiffening {
    double f;
    double rel_u_N;  // of N, what the form and the spread of real housings of that shape leave
};

Stiffening stiffening(HousingShape shape, double D, double B, double Do) {
    switch (shape) {
        case HousingShape::flush: return {1.00, 0.01};
        case HousingShape::bore_goes_on: return {1.30, 0.03};
        case HousingShape::shoulder_behind: return {1.39, 0.04};
        case HousingShape::long_tube: return {1 + 0.80 * (D / 2 / B) * (1 - std::exp(-3.3 * (Do / D - 1))), 0.04};
        case HousingShape::flange_behind: return {1.65, 0.08};
        case HousingShape::flange_over_seat: return {2.2, 0.10};
        case HousingShape::unknown: break;
    }
    return {1.45, 0.15};
}

double ring_compliance(const RingSection& ring, double bore_mm) {
    const double D2 = ring.D_mm * ring.D_mm, b2 = bore_mm * bore_mm;
    return ring.D_mm / (ring.E_GPa * 1e3) * ((D2 + b2) / (D2 - b2) - ring.nu);
}

double house_compliance(const Housing& housing, double D, double Do) {
    const double D2 = D * D, o2 = Do * Do;
    return D / (housing.E_GPa * 1e3) * ((o2 + D2) / (o2 - D2) + housing.nu);
}

// The outside over the middle of the ring.
double outside_over_seat(const RingSection& ring, const Housing& housing) {
    if (housing.steps.empty()) {
        if (!(housing.outside_mm > ring.D_mm)) throw BadInput("The housing's outside diameter must be larger than the seat's.");
        return housing.outside_mm;
    }
    const HousingSection section = housing_section(housing, ring);
    const double middle = section.seat_from_mouth_mm + ring.B_mm / 2;
    double to = 0;
    for (const HousingStep& step : section.steps) {
        to += step.length_mm;
        if (to > middle) return step.outside_mm;
    }
    return section.steps.back().outside_mm;
}

// Shares found by finite elements for a ring sliding out of a hub with a shoulder behind it, over the travel in widths.
GripLeft usual_grip_left(const RingSection& ring) {
    const double c = ring.chamfer_mm, B = ring.B_mm;
    GripLeft left{{0}, {1}};
    constexpr double shares[] = {0.96, 0.92, 0.84, 0.75, 0.66, 0.58, 0.51, 0.43, 0.36, 0.33};
    constexpr double widths[] = {0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.85};
    for (std::size_t i = 0; i < std::size(shares); ++i) {
        if (widths[i] * B > B - c - 0.02 * B) break;
        left.travel_mm.push_back(widths[i] * B);
        left.share.push_back(shares[i]);
    }
    left.travel_mm.push_back(B - c);
    left.share.push_back(0);
    return left;
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
    const double D = ring.D_mm, B = ring.B_mm;
    const double Do = outside_over_seat(ring, housing);
    const Stiffening stiff = stiffening(housing.steps.empty() ? housing.shape : HousingShape::unknown, D, B, Do);
    const double c_house = house_compliance(housing, D, Do) / stiff.f;
    const double area_mm2 = std::numbers::pi * D * B;
    const auto normal_per_um = [&](double bore_mm) { return 1e-3 * area_mm2 / (ring_compliance(ring, bore_mm) + c_house); };

    SeatStiffness seat;
    seat.method = StiffnessMethod::correction;
    const double bore = ring.equal_area_bore_mm;
    seat.N_per_um = normal_per_um(bore);
    const double ring_u = std::abs(normal_per_um(bore + ring.equal_area_bore_u_mm) / seat.N_per_um - 1);
    seat.N_per_um_rel_u = std::hypot(ring_u, stiff.rel_u_N);

    // Lamé's ring under outside pressure, taken at the groove bottom, which lies close to the equal-area bore.
    const double p = seat.N_per_um / area_mm2, D2 = D * D, b2 = bore * bore, r2 = ring.groove_bottom_mm * ring.groove_bottom_mm;
    const double lost = p * D2 / (D2 - b2) * ((1 - ring.nu) + (1 + ring.nu) * b2 / r2) / (ring.E_GPa * 1e3);
    seat.raceway_um_per_um = 1e3 * lost * ring.groove_bottom_mm;
    seat.raceway_um_per_um_rel_u = std::hypot(seat.N_per_um_rel_u, 0.02);
    seat.hoop_MPa_per_um = p * (Do * Do + D2) / (Do * Do - D2);
    seat.contact_length_mm = B - 2 * ring.chamfer_mm;
    seat.grip_left = usual_grip_left(ring);
    seat.grip_left_u = 0.05;
    seat.lambda = 0.5;
    seat.lambda_u = 0.08;
    return seat;
}

SeatStiffness seat_stiffness(const RingSection& ring, const Housing& housing) {
    return seat_stiffness_by_correction(ring, housing);
}

}  // namespace halfturn::fit
