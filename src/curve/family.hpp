// Learning a family: what earlier pulls of like seats (same bearing, housing and seat class) say of the next one.
//   const Learned learned = learn({grip, interference_um}, pulls);   learned.weight(+3.1, -0.2)
//
// Model. Each seat's interference is the middle expected for it, plus x, plus a part of its own; the logarithm of its
// friction is the middle expected, plus m, plus a part of its own. x and m are the family's: the same for all its seats.
// What the prior allows (the set-up's own spread) is split between the two, a share r of the variance to the seat's own:
//   x ~ N(0, (1-r) s_x^2),  own ~ N(0, r s_x^2);   m likewise with s_m, the doubt of friction and of the grip per um together
//   ln F = ln(delta) + ln G(mu) + error,  error ~ 0.95 N(0, v) + 0.05 N(0, v + 1),  v = (reading's u)^2 + (own parts in ln F)^2
// the second for the one job in twenty that was something else altogether (Tukey's contaminated normal), so that a bad job
// counts for little. r is not known: 0.02 to 0.9 in eight steps, all alike likely before.
// Bayes on a grid of x (81 steps), m (121) and r (8), each prior four standard deviations wide; what is expected of the next
// seat is that posterior widened by the own parts again. Gelman et al., Bayesian Data Analysis (3rd ed.), 2.5, 5.4 and 17.2
// (chapters from memory).
// The own part of friction is never taken below the instruments' doubt, nor below 4 % (bedding, off-axis pull; common
// practice, no published source), so no number of jobs makes the band narrower than that.
// A seat pulled before has lost some interference: 0.5 um a pull with a standard uncertainty of 0.5 um (common practice, no
// published source).
// Checked: the conjugate normal answer, where Gaussian errors and a known interference give one (2 % of the prior's
// standard deviation); 95 % of simulated next seats within the band: tests/curve/family_test.cpp. Pure.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "curve/grip_table.hpp"

namespace halfturn::curve {

// One pull, with what its own set-up expected before anything was learned.
struct PastPull {
    std::int64_t number = 0;  // of the job
    double force_N = 0;       // out: release; in: driving
    double relative_u = 0;    // standard uncertainty of that force as it was read
    GripTable grip;
    Band interference_um;
    int seat_pulled_before = 0;  // how often this seat had been pulled
};

// The jobs of a family as they were picked for one job; what is left out is kept with why.
struct FamilyJobs {
    std::string name;  // "61902 in 6061-T6, shoulder-behind shape, N7"
    int jobs = 0;      // of the family on record
    std::vector<PastPull> pulls;  // those used
    struct LeftOut {
        std::int64_t number = 0;
        std::string because;
    };
    std::vector<LeftOut> left_out;
    int this_seat_pulled_before = 0;
};

struct LearningOptions {
    double bad_share = 0.05;           // of jobs that were something else; 0: errors are Gaussian
    double least_own_u = 0.04;         // of the force, relative; at least what the instruments resolve
    std::optional<double> own_share;   // r, where it is known
    int this_seat_pulled_before = 0;
};

class Learned {
public:
    // How much likelier the next seat is to lie this far from its middles than before: um of interference, logarithm of
    // friction. 1 everywhere without pulls. Linear on the grid; its edge holds beyond.
    double weight(double offset_um, double ln_friction) const;
    double own_share() const { return own_share_; }  // posterior mean of r
    // Mean and standard deviation of what the next seat's friction (and grip) may be, as a logarithm beside its middle.
    double mean_ln_friction() const { return mean_ln_friction_; }
    double sd_ln_friction() const { return sd_ln_friction_; }

private:
    friend Learned learn(const GripTable&, const Band&, const std::vector<PastPull>&, const LearningOptions&);
    std::vector<double> x_, m_, weight_;  // weight_: rows of x, columns of m
    double own_share_ = 0, mean_ln_friction_ = 0, sd_ln_friction_ = 0;
};

// grip and interference_um: what is expected of the next seat before. Forces must be positive.
Learned learn(const GripTable& grip, const Band& interference_um, const std::vector<PastPull>& pulls, const LearningOptions& options = {});

}  // namespace halfturn::curve
