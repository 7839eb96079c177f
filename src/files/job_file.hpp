// The job file: one bearing, out or in, as the mechanic knows it. "unknown" is a legal value wherever that may be so.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/housing_shape.hpp"
#include "core/set_up.hpp"

namespace halfturn {

enum class Surface : std::uint8_t { dry, oiled, bonded, corroded, unknown };
std::string_view surface_name(Surface surface);

// One step of the housing's section, for those who know it: a ring of metal from the seat's inner face outwards.
// from_mm and to_mm run along the axis, 0 at the seat's open end, positive into the housing, seat length included.
struct SectionStep {
    double from_mm = 0, to_mm = 0;
    double inner_diameter_mm = 0, outer_diameter_mm = 0;
};

struct JobFile {
    Work work = Work::out;
    Access access = Access::through;
    std::string item, seat, set, who;

    struct Bearing {
        std::string designation;                     // may be empty when the sizes are given
        std::optional<double> d_mm, D_mm, B_mm;
        std::optional<bool> sealed;
        std::string clearance;                       // "C2", "CN", "C3", or empty
    } bearing;

    struct SeatFit {
        std::string tolerance_class;                 // "N7", or empty
        std::optional<double> bore_mm, bore_u_um;    // measured, with its standard uncertainty
        std::optional<double> outside_mm, outside_u_um;  // the outer ring's measured diameter
    } seat_fit;

    struct Housing {
        std::string material;                        // name in the materials table, or empty for unknown
        std::optional<double> outside_diameter_mm;
        HousingShape shape = HousingShape::unknown;
        std::vector<SectionStep> section;
        std::optional<double> temperature_C;
    } housing;

    struct Condition {
        Surface surface = Surface::unknown;
        std::optional<double> friction;              // when known
    } condition;

    struct Drift {
        std::optional<double> reach_mm;              // radius at which it pushes
        std::optional<double> passage_mm;            // narrowest bore it has to pass on its way, straight through
        std::string notes;
    } drift;

    // The sleeve between the inner rings of a pair, and the distance between the seats' shoulders it must match.
    struct Spacer {
        std::optional<double> length_mm, shoulders_mm;
        std::optional<double> bore_mm;               // inside diameter
        std::optional<double> moves_mm;              // how far it can be pushed aside
    };
    std::optional<Spacer> spacer;  // nothing: no pair, or nothing known of it

    // The face round the seat that a support may lean on.
    struct Ground {
        std::optional<double> inner_diameter_mm, outer_diameter_mm, flatness_mm;
    } ground;
    struct KeepOff {
        std::string what;                            // "retaining ring", "seal", "thread"
        double inner_diameter_mm = 0, outer_diameter_mm = 0;
    };
    std::vector<KeepOff> keep_off;

    std::string file;  // name for messages
    std::string text;  // the whole file, kept with the job
};

// Throws BadInput with file, line, key, what was expected and the nearest valid key.
JobFile read_job_file(const std::string& path);
JobFile read_job_text(const std::string& text, const std::string& name_for_errors);

}  // namespace halfturn
