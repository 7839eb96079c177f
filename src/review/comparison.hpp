// Recorded pulls laid over one another: force on one grid of turns, and where they differ by more than the doubt.
//   const Comparison c = compare({curve_of("job 3", evidence_3), curve_of("job 9", evidence_9)}, Align::contact);
//   c.jobs[1].difference[i]   // job 9 less job 3 at c.turns[i]
//
// Force at a turn: linear between the two readings beside it, of those in which the screw had got further than ever before
//   (strokes back and pauses carry nothing). A gap of more than `widest_gap_turns` between readings is left empty.
// Doubt (standard, k = 1): u^2 = noise^2 + least count^2/12 + step^2/12 + (slope u_turn)^2, with step the difference of the
//   two readings beside it (between them the force may have been anything from one to the other: rectangular, JCGM 100
//   4.3.7) and u_turn^2 = turn step^2/12 + place^2/12, place the gap between readings where the curves are laid together.
//   Between jobs whose force channel names other certificates 1 % of the force is added to a difference (the class-1 limit
//   of ISO 7500-1 for the indication); with the same certificate that error is the same in both and falls out.
// A difference counts as beyond the doubt from U = 2 u on. Neighbouring grid points share readings, so a single point
//   beyond says little; `share_beyond` over 5 % is what chance does not make.
// Valid: jobs of one kind of work, with force and turns.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "review/evidence.hpp"

namespace halfturn::review {

enum class Align : std::uint8_t { contact, release };
std::string_view align_name(Align align);  // "contact", "release"
std::optional<Align> align_from_name(std::string_view name);

constexpr double widest_gap_turns = 0.05;
constexpr std::size_t comparison_points = 600;
constexpr std::size_t most_compared = 12;

// One job's curve, ready to be laid over others.
struct PullCurve {
    std::string label;                 // "job 3"
    Work work = Work::out;
    struct Point {
        double turns = 0, force_N = 0;  // turns from contact, always rising
    };
    std::vector<Point> points;
    double noise_N = 0, step_N = 0, step_turns = 0;
    std::optional<double> release_turns;       // from contact; out
    std::optional<double> release_N, expected_N;  // the largest reading before release; the middle of the expected band
    double peak_N = 0;
    std::string certificate;           // of the force channel; empty: none named
};

PullCurve curve_of(std::string label, const Evidence& evidence);

struct ComparedJob {
    std::string label;
    double shifted_turns = 0;                       // taken off its turns to lay it in place
    std::vector<std::optional<double>> force_N, u_N;     // at Comparison::turns; empty where it has no curve
    // Against the first job; for the first itself all empty.
    std::vector<std::optional<double>> difference_N, U_N;  // U: expanded, k = 2
    double compared_share = 0;                      // of the grid, where both have a curve
    double share_beyond = 0;                        // of that, where the difference is beyond its doubt
    double largest_N = 0, largest_U_N = 0, largest_at_turns = 0;  // farthest beyond the doubt, in multiples of it
    std::optional<double> release_N, expected_N;
    double peak_N = 0;
    std::string says;                               // one sentence
};

struct Comparison {
    Align align = Align::contact;
    std::vector<double> turns;                      // from contact, or from release
    std::vector<ComparedJob> jobs;
};

// Pure. Throws BadInput for fewer than two or more than most_compared jobs, for jobs of both kinds of work, for one without a
// curve, and for Align::release with one that never broke loose.
Comparison compare(const std::vector<PullCurve>& curves, Align align);

}  // namespace halfturn::review
