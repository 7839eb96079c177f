// The two figures of a job's report: the recorded curve over the expected band, and the grip along the seat.
#pragma once

#include "report/job_facts.hpp"
#include "sheet/drawing.hpp"

namespace halfturn::report {

// Force over turns from contact, or over time where nothing counted turns. Contact, break-loose, peak and each warning are
// marked. Nothing without force readings.
std::optional<sheet::Drawing> curve_figure(const JobFacts& facts, double width_mm);

// Grip over its mean along the depth, with where it may lie. Nothing when it could not be read.
std::optional<sheet::Drawing> profile_figure(const review::SeatProfile& profile, double width_mm);

}  // namespace halfturn::report
