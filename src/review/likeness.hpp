// How like two pulls are: what makes a pull what it is, in three figures, and the distance between two of them.
//   const PullFeatures these = features_of(evidence);   distance(these, others)  ->  0.4
//
// Break-loose ratio  r = ln(release / middle of what was expected); in: driving force over that.
// Slope              s = ln(rise of force per millimetre of screw while the press winds up, from a fifth to four fifths of the
//                        release), least squares. N/mm. Only of jobs that took a bearing out.
// Shape              f(k), k = 1…12: force while sliding at 12 even steps of the seat's length, over their own mean.
// Distance           d^2 = mean of ((r1-r2)/0.15)^2, ((s1-s2)/0.20)^2 and (root mean square of f1-f2 / 0.10)^2, of those both
//                    have; none in common: no distance. 0.15, 0.20 and 0.10 are what repeats of one fit on one press differ by
//                    (common practice, no published source). So 1 is as like as a repeat, 3 is plainly another pull.
#pragma once

#include <array>
#include <optional>

#include "review/evidence.hpp"

namespace halfturn::review {

constexpr std::size_t shape_steps = 12;

struct PullFeatures {
    std::optional<double> ratio, slope;
    std::optional<std::array<double, shape_steps>> shape;
};

PullFeatures features_of(const Evidence& evidence);
std::optional<double> distance(const PullFeatures& a, const PullFeatures& b);

}  // namespace halfturn::review
