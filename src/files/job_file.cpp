#include "files/job_file.hpp"

#include <array>
#include <utility>

#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "files/checked_table.hpp"
#include "files/whole_file.hpp"

namespace halfturn {
namespace {

constexpr std::array<std::string_view, 5> surface_names = {"dry", "oiled", "bonded", "corroded", "unknown"};

template <std::size_t N>
std::size_t place_of(const std::array<std::string_view, N>& names, std::string_view name) {
    std::size_t i = 0;
    while (i + 1 < N && names[i] != name) ++i;
    return i;
}

std::string text_or_unknown(const CheckedTable& table, std::string_view key) {
    const std::string text = table.text_if(key).value_or("");
    return text == "unknown" ? "" : text;
}

JobFile::Bearing read_bearing(const CheckedTable& table) {
    JobFile::Bearing bearing;
    bearing.designation = text_or_unknown(table, "designation");
    bearing.d_mm = table.number_or_unknown("d_mm", 1, 500);
    bearing.D_mm = table.number_or_unknown("D_mm", 2, 1000);
    bearing.B_mm = table.number_or_unknown("B_mm", 0.5, 200);
    if (!table.is_unknown("sealed")) bearing.sealed = table.boolean_if("sealed");
    bearing.clearance = table.choice_if("clearance", {"C2", "CN", "C3", "unknown"}).value_or("");
    if (bearing.clearance == "unknown") bearing.clearance.clear();
    if (bearing.designation.empty() && !(bearing.d_mm && bearing.D_mm && bearing.B_mm))
        throw table.error("designation", "is missing; give the bearing's number (\"61902\"), or d_mm, D_mm and B_mm");
    if (bearing.d_mm && bearing.D_mm && *bearing.d_mm >= *bearing.D_mm)
        throw table.error("D_mm", "must be larger than d_mm (" + number_text(*bearing.d_mm) + ")");
    return bearing;
}

JobFile::SeatFit read_seat_fit(const CheckedTable& table) {
    JobFile::SeatFit fit;
    fit.tolerance_class = text_or_unknown(table, "class");
    fit.bore_mm = table.number_or_unknown("bore_mm", 2, 1000);
    fit.bore_u_um = table.number_or_unknown("bore_u_um", 0, 1000);
    fit.outside_mm = table.number_or_unknown("outside_mm", 2, 1000);
    fit.outside_u_um = table.number_or_unknown("outside_u_um", 0, 1000);
    return fit;
}

std::vector<SectionStep> read_section(const CheckedTable& housing) {
    std::vector<SectionStep> steps;
    for (const auto& step : housing.tables("section")) {
        SectionStep s;
        s.from_mm = step.number("from_mm", -500, 500);
        s.to_mm = step.number("to_mm", -500, 500);
        s.inner_diameter_mm = step.number("inner_diameter_mm", 0.5, 1000);
        s.outer_diameter_mm = step.number("outer_diameter_mm", 1, 2000);
        if (s.to_mm <= s.from_mm) throw step.error("to_mm", "must be larger than from_mm (" + number_text(s.from_mm) + ")");
        if (s.outer_diameter_mm <= s.inner_diameter_mm)
            throw step.error("outer_diameter_mm", "must be larger than inner_diameter_mm");
        steps.push_back(s);
    }
    return steps;
}

JobFile::Housing read_housing(const CheckedTable& table) {
    JobFile::Housing housing;
    housing.material = text_or_unknown(table, "material");
    housing.outside_diameter_mm = table.number_or_unknown("outside_diameter_mm", 2, 2000);
    const auto shape = table.choice_if("shape", {"flush", "bore-goes-on", "shoulder-behind", "long-tube", "flange-behind",
                                                 "flange-over-seat", "unknown"});
    if (shape) housing.shape = housing_shape(*shape).value();
    housing.section = read_section(table);
    housing.temperature_C = table.number_or_unknown("temperature_C", -60, 300);
    return housing;
}

JobFile::Spacer read_spacer(const CheckedTable& table) {
    JobFile::Spacer spacer;
    spacer.length_mm = table.number_or_unknown("length_mm", 0.1, 1000);
    spacer.shoulders_mm = table.number_or_unknown("shoulders_mm", 0.1, 1000);
    spacer.bore_mm = table.number_or_unknown("bore_mm", 1, 500);
    spacer.moves_mm = table.number_or_unknown("moves_mm", 0, 50);
    return spacer;
}

JobFile::Ground read_ground(const CheckedTable& table) {
    JobFile::Ground ground;
    ground.inner_diameter_mm = table.number_or_unknown("inner_diameter_mm", 1, 2000);
    ground.outer_diameter_mm = table.number_or_unknown("outer_diameter_mm", 1, 2000);
    ground.flatness_mm = table.number_or_unknown("flatness_mm", 0, 10);
    if (ground.inner_diameter_mm && ground.outer_diameter_mm && *ground.inner_diameter_mm >= *ground.outer_diameter_mm)
        throw table.error("outer_diameter_mm", "must be larger than inner_diameter_mm");
    return ground;
}

std::vector<JobFile::KeepOff> read_keep_off(const CheckedTable& job) {
    std::vector<JobFile::KeepOff> zones;
    for (const CheckedTable& table : job.tables("keep_off")) {
        zones.push_back({table.text("what"), table.number("inner_diameter_mm", 0, 2000),
                         table.number("outer_diameter_mm", 0.1, 2000)});
        if (zones.back().inner_diameter_mm >= zones.back().outer_diameter_mm)
            throw table.error("outer_diameter_mm", "must be larger than inner_diameter_mm");
    }
    return zones;
}

JobFile read_job(const CheckedTable& table) {
    JobFile job;
    job.work = table.choice("work", {"out", "in"}) == "out" ? Work::out : Work::in;
    const auto access = table.choice_if("access", {"past-spacer", "through", "unknown"});
    if (access == "past-spacer") job.access = Access::past_spacer;
    else if (access == "unknown") job.access = Access::unknown;
    job.item = text_or_unknown(table, "item");
    job.seat = text_or_unknown(table, "seat");
    job.set = text_or_unknown(table, "set");
    job.who = text_or_unknown(table, "who");
    if (!table.has("bearing"))
        throw table.error("bearing", "is missing; add a table [bearing] with the bearing's number as designation");
    job.bearing = read_bearing(table.table("bearing"));
    job.seat_fit = read_seat_fit(table.table("seat_fit"));
    job.housing = read_housing(table.table("housing"));
    const CheckedTable condition = table.table("condition");
    const auto surface = condition.choice_if("surface", {"dry", "oiled", "bonded", "corroded", "unknown"});
    if (surface) job.condition.surface = static_cast<Surface>(place_of(surface_names, *surface));
    job.condition.friction = condition.number_or_unknown("friction", 0.01, 1);
    const CheckedTable drift = table.table("drift");
    job.drift.reach_mm = drift.number_or_unknown("reach_mm", 0, 500);
    job.drift.passage_mm = drift.number_or_unknown("passage_mm", 1, 1000);
    job.drift.notes = text_or_unknown(drift, "notes");
    if (table.has("spacer")) job.spacer = read_spacer(table.table("spacer"));
    job.ground = read_ground(table.table("ground"));
    job.keep_off = read_keep_off(table);
    table.refuse_unknown_keys();
    return job;
}

}  // namespace

std::string_view surface_name(Surface surface) { return surface_names[static_cast<std::size_t>(surface)]; }

JobFile read_job_text(const std::string& text, const std::string& name_for_errors) {
    JobFile job = read_job(CheckedTable::from_text(text, name_for_errors));
    job.file = name_for_errors;
    job.text = text;
    return job;
}

JobFile read_job_file(const std::string& path) { return read_job_text(whole_file(path), path); }

}  // namespace halfturn
