// The rig file: the press, its screw, the instruments on it and what each of their channels measures.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/set_up.hpp"

namespace halfturn {

struct RigFile {
    std::string name;

    struct Screw {
        std::string thread;                     // "M8", "M10x1.25"
        std::optional<double> pitch_mm;         // overrides the thread's own, for screws that are no metric thread
        std::string property_class;             // "8.8"; empty: unknown
        std::optional<double> free_length_mm;
    } screw;

    struct Press {
        std::optional<double> stiffness_N_per_mm;  // nothing: unknown
        std::optional<double> stiffness_u;         // standard uncertainty, N/mm
        std::optional<double> force_limit_N;
        double lead_s = 0.7;
    } press;

    std::vector<PortSetUp> ports;        // a rig for recorded logs needs none
    std::vector<ChannelSetUp> channels;

    std::string file;
    std::string text;
};

// Throws BadInput with file, line, key, what was expected and the nearest valid key. Formats and their settings are
// checked against the list of formats; line settings and silence limits default to the format's own.
RigFile read_rig_file(const std::string& path);
RigFile read_rig_text(const std::string& text, const std::string& name_for_errors);

// The pitch in mm: given, or read off a metric thread's name ("M8" is 1.25 by ISO 261's coarse series). Nothing when
// neither is known.
std::optional<double> pitch_of(const RigFile& rig);

}  // namespace halfturn
