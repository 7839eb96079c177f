// The grip along a seat's depth, read back from a recorded curve, and what shape it has.
//   const SeatProfile profile = seat_profile(slide, set_up, trace);   profile.shape == SeatShape::tapered
//
// Model: with the seat engaged from its mouth to depth y, force F(y) = f(y)/y * integral over 0..y of h(z) dz, where f(y) is how
//   an even seat's grip falls (the set-up's frozen section solution) and h(z) friction times grip per length at depth z. So an
//   even seat reads flat although its force does not fall in proportion. Once-per-turn ripple is fitted alongside as
//   f(y) (a cos 2 pi n + b sin 2 pi n), n the turns of the screw.
// Inversion: least squares with a penalty on second differences and h >= 0 (negative cells are set to 0 and left out), the
//   penalty as large as the discrepancy principle allows (chi2 = number of stretches), never so large that less than 15 % of
//   curvature over the seat would be thought possible. Source: Hansen, Discrete Inverse Problems, ch. 4-5 (from memory).
// Noise: scatter of the readings; and the even seat's fall itself, doubtful by 2 % of the full grip with a correlation length of
//   a fifth of the seat (what fit/seat_stiffness.hpp states for a share between a solved section and the closed formula).
// Band: 95 %, of readings, fall, stiffness and the seat's length. Friction that changes along the way reads as grip.
// Valid: rings that slid over more than 60 % of their seat. Largest errors are in tests/review/profile_test.cpp.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "review/slide.hpp"

namespace halfturn::review {

enum class SeatShape : std::uint8_t { cant_tell, even, tapered, bell_mouthed, worn_band, burr };
std::string_view seat_shape_id(SeatShape shape);  // "cant-tell", "even", "tapered", "bell-mouthed", "worn-band", "burr"
std::string_view seat_shape_words(SeatShape shape);

// A taper below this, from end to end over the mean grip, is even for a workshop.
constexpr double least_taper = 0.3;

struct ProfilePoint {
    double depth_mm = 0;       // from the mouth
    double relative = 0;       // grip there over the mean grip
    double low = 0, high = 0;  // 95 %
};

struct Ripple {
    bool known = false;             // enough turns to tell
    double share = 0, u_share = 0;  // amplitude over the local force, and its standard uncertainty
    double beside = 0;  // amplitude at frequencies beside once per turn: what chance and strokes make of it
    double most_at_turn = 0;  // where in the turn the force is highest, 0 to 1, from contact
    double turns = 0;         // slid over so many
};

struct SeatProfile {
    bool known = false;
    std::string why_not;
    std::vector<ProfilePoint> points;
    double mean_N_per_mm = 0;  // friction times grip, per length of seat
    SeatShape shape = SeatShape::cant_tell;
    // Tapered: change from mouth to inner end over the mean (positive: tighter inside). Bell-mouthed, worn
    // band: how much of the grip is missing there. Burr: how much it exceeds the rest.
    double size = 0, u_size = 0;
    double from_mm = 0, to_mm = 0;  // where, from the mouth
    double seen_from_mm = 0, seen_to_mm = 0;
    std::vector<SeatShape> or_shapes;  // that fit as well
    double strength = 0;               // square root of the drop in chi2 against an even seat
    double instruments_mm = 0;         // finest detail the instruments can show at the speed the ring slid
    std::string instruments_because;
    double resolved_mm = 0;  // finest detail this inversion shows
    double misfit = 0;       // chi2 over number of stretches
    Ripple ripple;
    std::string says;  // one sentence
    // What rode on the force and hides the seat's own shape (review_seat finds it): the points are then no picture
    // of the seat, and nobody draws them. Empty: nothing did.
    std::string hidden;

    bool drawable() const { return known && hidden.empty() && !points.empty(); }
};

// Pure. Where the slide has no stretches, `why_not` says why.
SeatProfile seat_profile(const Slide& slide, const SetUp& set_up, const Trace& trace);

// The shape, its size and doubt, and what fits as well.
std::string seat_shape_sentence(const SeatProfile& profile);

// Two profiles of one seat, pressed in and pulled out: where they differ by more than their bands allow.
struct ProfileDifference {
    bool known = false;
    double share = 0;               // of the depth where the bands do not meet
    double largest = 0, at_mm = 0;  // largest difference of the relative grip beyond the bands
    std::string says;
};
ProfileDifference compare_profiles(const SeatProfile& in, const SeatProfile& out);

}  // namespace halfturn::review
