// What a rig is worth in each configuration (cell, caliper, drift, free span, speed), from its newest certificates: a paper to
// hand over with the rig. Each term comes from a stored certificate; what has none is said to be missing, never guessed.
//   for (const Accuracy& one : rig_accuracy(read_kept_certificates(store), "bench 1", "2024-05-31", {})) …
//
// Force as recorded while the screw turns: force + stiffness * pitch * speed / rate * (1 + gap) / 2, where rate is how often the
// force really changes (lag certificate) and gap lies anywhere in ±1: a release hides up to one step between two readings.
// Force, too, by what stray loads make of it where they were tested: force * (1 + eccentric + side_load + torsion), ± whole_percent.
// Turn at which something happens: travel / pitch + speed * (lag + (1 + gap) / (2 rate)), with the travel's own lag and rate.
// Combined by the GUM with Monte Carlo beside it (calibrate/budget.hpp). The models are common practice, no published source.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "calibrate/budget.hpp"
#include "calibrate/monte_carlo.hpp"
#include "report/kept_certificates.hpp"
#include "sheet/document.hpp"

namespace halfturn::report {

struct AccuracyTerm {
    const KeptCertificate* kept = nullptr;
    std::string says;   // "± 12 N at 5000 N (95 %), usable from 400 N"
    std::string state;  // "valid", …
};

struct CombinedAccuracy {
    calibrate::Budget budget;
    calibrate::GumResult gum;
    calibrate::MonteCarloResult monte_carlo;
};

struct ForceAccuracy {
    double force_N = 0, at_rest_U_N = 0;  // both U with what stray loads do, where that was tested
    std::optional<double> turning_U_N;  // about the middle of what a reading may hide
};

struct Accuracy {
    std::string configuration;          // empty: as it is
    std::vector<AccuracyTerm> terms;
    double speed_turns_per_s = 0;       // 0: at rest only
    std::vector<ForceAccuracy> forces;  // at each force of the certificate
    double hidden_N = 0;                // the largest step between two readings at that speed
    std::optional<CombinedAccuracy> force, turn;  // at the highest force; of one turn
    std::vector<std::string> missing;   // what is not in it, and why
    bool all_valid = true;
};

// Certificates that name no configuration hold for every one. `speed`: turns a second; else what the lag certificate allows.
std::vector<Accuracy> rig_accuracy(const std::vector<KeptCertificate>& all, const std::string& rig, const std::string& day,
                                   std::optional<double> speed_turns_per_s);

std::string accuracy_json(const std::vector<Accuracy>& all, const std::string& rig, const std::string& day, const std::string& head);
sheet::Document accuracy_document(const std::vector<Accuracy>& all, const std::string& rig, const std::string& day, const std::string& head,
                                  sheet::Paper paper);

}  // namespace halfturn::report
