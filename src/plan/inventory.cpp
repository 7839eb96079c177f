#include "plan/inventory.hpp"

#include <set>

#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "files/checked_table.hpp"
#include "files/whole_file.hpp"
#include "fit/threads.hpp"

namespace halfturn::plan {

namespace {

constexpr double longest_mm = 2000;

std::string checked_thread(const CheckedTable& table) {
    const std::string name = table.text("thread");
    try {
        return fit::find_thread(name).name;
    } catch (const BadInput& error) {
        throw table.error("thread", error.what());
    }
}

Drift read_drift(const CheckedTable& table) {
    Drift drift;
    drift.name = table.text("name");
    drift.diameter_mm = table.number("diameter_mm", 1, 500);
    drift.height_mm = table.number("height_mm", 0.5, 500);
    drift.reach_mm = table.number_if("reach_mm", 1, 500);
    drift.yield_MPa = table.number_or_unknown("yield_MPa", 10, 4000);
    if (drift.reach_mm && (*drift.reach_mm <= drift.diameter_mm / 2 || *drift.reach_mm >= drift.diameter_mm))
        throw table.error("reach_mm", "is the radius of the drift's far edge when it stands aside: it must lie between "
                                      "half its diameter (" + number_text(drift.diameter_mm / 2) +
                                      ") and its diameter; leave it out for a straight drift");
    return drift;
}

Plug read_plug(const CheckedTable& table) {
    Plug plug{table.text("name"), table.number("diameter_mm", 1, 500), table.number("hole_mm", 0.5, 500)};
    if (plug.hole_mm >= plug.diameter_mm)
        throw table.error("hole_mm", "must be smaller than diameter_mm (" + number_text(plug.diameter_mm) + ")");
    return plug;
}

Support read_support(const CheckedTable& table) {
    Support support;
    support.name = table.text("name");
    support.inner_diameter_mm = table.number("inner_diameter_mm", 1, 1000);
    support.outer_diameter_mm = table.number("outer_diameter_mm", 1, 2000);
    support.height_mm = table.number("height_mm", 0.5, longest_mm);
    support.squareness_mm = table.number_or_unknown("squareness_mm", 0, 10);
    if (support.outer_diameter_mm <= support.inner_diameter_mm)
        throw table.error("outer_diameter_mm", "must be larger than inner_diameter_mm (" +
                                                   number_text(support.inner_diameter_mm) + ")");
    return support;
}

Screw read_screw(const CheckedTable& table) {
    Screw screw;
    screw.name = table.text("name");
    screw.thread = checked_thread(table);
    screw.length_mm = table.number("length_mm", 5, longest_mm);
    screw.property_class = table.text_if("class").value_or("unknown");
    if (screw.property_class == "unknown") {
        screw.property_class.clear();
        return screw;
    }
    try {
        fit::proof_load_N(fit::find_thread(screw.thread), screw.property_class);
    } catch (const BadInput& error) {
        throw table.error("class", error.what());
    }
    return screw;
}

Nut read_nut(const CheckedTable& table) {
    Nut nut;
    nut.name = table.text("name");
    nut.thread = checked_thread(table);
    nut.height_mm = table.number("height_mm", 0.5, 500);
    nut.collar_mean_diameter_mm = table.number("collar_mean_diameter_mm", 1, 500);
    nut.collar_friction = table.number_or_unknown("collar_friction", 0.0005, 1);
    nut.yield_MPa = table.number_or_unknown("yield_MPa", 10, 4000);
    return nut;
}

LoadCell read_load_cell(const CheckedTable& table) {
    LoadCell cell{table.text_if("name").value_or(""), table.number("height_mm", 0.5, 500), table.number("outer_diameter_mm", 1, 500),
                  table.number("hole_mm", 0.5, 500)};
    if (cell.hole_mm >= cell.outer_diameter_mm)
        throw table.error("hole_mm", "must be smaller than outer_diameter_mm (" + number_text(cell.outer_diameter_mm) + ")");
    return cell;
}

Wrench read_wrench(const CheckedTable& table) {
    Wrench wrench{table.number("low_Nm", 0, 10000), table.number("high_Nm", 0.01, 10000),
                  table.number_if("step_Nm", 0.001, 1000)};
    if (wrench.high_Nm <= wrench.low_Nm)
        throw table.error("high_Nm", "must be larger than low_Nm (" + number_text(wrench.low_Nm) + ")");
    return wrench;
}

template <class Part>
std::vector<Part> read_all(const CheckedTable& table, const char* key, Part (*read)(const CheckedTable&)) {
    std::vector<Part> parts;
    std::set<std::string> names;
    for (const CheckedTable& one : table.tables(key)) {
        parts.push_back(read(one));
        if (!names.insert(parts.back().name).second)
            throw one.error("name", "\"" + parts.back().name + "\" stands twice among these parts: give each its own, "
                                    "so that the plan's words are clear");
    }
    return parts;
}

Inventory read_inventory(const CheckedTable& table) {
    Inventory inventory;
    inventory.name = table.text_if("name").value_or("");
    inventory.drifts = read_all(table, "drift", read_drift);
    inventory.plugs = read_all(table, "plug", read_plug);
    inventory.supports = read_all(table, "support", read_support);
    inventory.screws = read_all(table, "screw", read_screw);
    inventory.nuts = read_all(table, "nut", read_nut);
    if (table.has("wrench")) inventory.wrench = read_wrench(table.table("wrench"));
    if (table.has("load_cell")) inventory.load_cell = read_load_cell(table.table("load_cell"));
    inventory.thread_friction = table.number_or_unknown("thread_friction", 0.01, 0.6);
    table.refuse_unknown_keys();
    return inventory;
}

}  // namespace

Inventory read_inventory_text(const std::string& text, const std::string& name_for_errors) {
    return read_inventory(CheckedTable::from_text(text, name_for_errors));
}

Inventory read_inventory_file(const std::string& path) { return read_inventory_text(whole_file(path), path); }

}  // namespace halfturn::plan
