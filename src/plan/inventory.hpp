// The parts a bench owns for pulling and pressing bearings: drifts, centring plugs, supports, screws, nuts, the wrench.
//   const Inventory drawer = read_inventory_file("drawer.toml");   drawer.drifts.front().diameter_mm
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace halfturn::plan {

// Pushes on a bearing ring. A straight one is a disc on the screw; one with a reach passes the bore and then stands
// aside behind it, its far edge at this radius from the bore's axis.
struct Drift {
    std::string name;
    double diameter_mm = 0;  // of the disc
    double height_mm = 0;    // takes this much of the screw
    std::optional<double> reach_mm{};
    std::optional<double> yield_MPa{};
};

// Fills a bore so that the screw runs in its middle.
struct Plug {
    std::string name;
    double diameter_mm = 0;
    double hole_mm = 0;  // for the screw
};

// What the press leans on: a ring or a cup that stands on the housing round the bearing.
struct Support {
    std::string name;
    double inner_diameter_mm = 0, outer_diameter_mm = 0;
    double height_mm = 0;                    // free inside, for the bearing to come out into
    std::optional<double> squareness_mm{};   // out of square or parallel, over the outer diameter
};

struct Screw {
    std::string name, thread;
    std::string property_class;  // empty: not known
    double length_mm = 0;        // threaded; 0: not known (a rig's own screw)
};

struct Nut {
    std::string name, thread;
    double height_mm = 0;
    double collar_mean_diameter_mm = 0;      // of the ring it turns on
    std::optional<double> collar_friction{};  // 0.003 for a ball thrust bearing; else as the thread
    std::optional<double> yield_MPa{};
};

// A ring under the nut that the screw runs through.
struct LoadCell {
    std::string name;
    double height_mm = 0;  // takes this much of the screw
    double outer_diameter_mm = 0, hole_mm = 0;
};

struct Wrench {
    double low_Nm = 0, high_Nm = 0;  // its scale
    std::optional<double> step_Nm{};
};

struct Inventory {
    bool given = true;           // false: nobody said what the bench owns
    std::string name;
    std::vector<Drift> drifts;
    std::vector<Plug> plugs;
    std::vector<Support> supports;
    std::vector<Screw> screws;
    std::vector<Nut> nuts;
    std::optional<Wrench> wrench;
    std::optional<LoadCell> load_cell{};
    std::optional<double> thread_friction;  // of greased steel on steel, when the bench knows it
};

// Throws BadInput with file, line, key, what was expected and the nearest valid key; threads must be in the table.
Inventory read_inventory_file(const std::string& path);
Inventory read_inventory_text(const std::string& text, const std::string& name_for_errors);

}  // namespace halfturn::plan
