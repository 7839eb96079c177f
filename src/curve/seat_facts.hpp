// What is known of one seat, one ring and one press, each as a value with its doubt and its source: the input of the
// expectation. Pure data; facts_from() reads it off the job and rig files and the standards' tables.
#pragma once

#include <optional>
#include <string>

#include "core/set_up.hpp"
#include "curve/ball_angles.hpp"
#include "curve/doubt.hpp"
#include "files/job_file.hpp"
#include "files/rig_file.hpp"
#include "fit/seat_stiffness.hpp"

namespace halfturn::curve {

struct SeatFacts {
    Work work = Work::out;
    Access access = Access::through;
    Surface surface = Surface::unknown;
    HousingShape shape = HousingShape::unknown;
    bool has_section = false;  // the housing's steps were given instead of a shape

    double d_mm = 0, D_mm = 0, B_mm = 0;  // the bearing
    fit::Source bearing_source;
    double axial_limit_N = 0;  // axial force the races bear without dents; 0: not known

    Doubt bore_um;          // deviation of the seat's bore from D, at 20 C
    Doubt ring_um;          // deviation of the outer ring's diameter from D
    Doubt smoothing_um;     // interference lost to roughness
    double thermal_um = 0;  // interference gained by temperature
    fit::RingSection ring;
    fit::SeatStiffness seat;  // for the middle of the hub's size and stiffness
    Doubt grip_model;  // error of that stiffness, a factor near 1: ring section, housing shape and method
    Doubt hub_outside_mm;
    Doubt hub_E_GPa;
    double hub_nu = 0.33;
    double hub_yield_MPa = 0;  // 0: not known
    Doubt clearance_um;        // radial play of the bearing before it was pressed in

    Doubt friction;
    Doubt over_sliding;  // break-loose friction over sliding friction
    std::optional<Doubt> bond_MPa;

    bool through_balls = false;  // the pull reaches the outer ring through the balls
    Doubt lambda;                // growth of the grip per newton the balls spread the ring with
    BallAngles balls;            // spread per newton of pull; 0 when the outer ring is pulled
    Doubt off_axis_mm;           // eccentricity of the pull that remains after the drift's spread
    Doubt softening_mm;          // extra screw travel from the knee of an off-axis pull to the release

    std::optional<double> pitch_mm;
    Doubt stiffness_N_per_mm;
    bool stiffness_measured = false;
    Doubt toe_mm;  // travel taken up by settling before the press is stiff
    std::optional<double> force_limit_N;
    std::optional<double> cell_capacity_N;
    std::optional<double> screw_proof_N;
    std::optional<double>
        screw_bending_N;          // where an off-axis pull bends it to its proof stress, by a simple beam
    std::string screw_name;       // "M8 8.8"
    double force_rate_per_s = 0;  // readings a second; 0: not known or not measured
    double force_least_count_N = 0;  // 0: not known
    double travel_rate_per_s = 0;
};

// Throws BadInput, naming the file, when the files contradict themselves or the tables (unknown bearing,
// class or material; a bore far from the ring's size; a housing smaller than its seat). The section method
// takes a fraction of a second where the housing's shape is known; the correction some microseconds, for when
// someone is still typing.
SeatFacts facts_from(const JobFile& job, const RigFile* rig,
                     fit::StiffnessMethod method = fit::StiffnessMethod::section);

}  // namespace halfturn::curve
