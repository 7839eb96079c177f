// halfturn calibrate class7500 and class376: the class of the rig's indication, or of a reference instrument.
#include <string>

#include "calibrate/force_classes.hpp"
#include "command/calibrate_commands.hpp"
#include "command/calibrate_keep.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"

namespace halfturn::command {
namespace {

using namespace calibrate;

std::string fixed_percent(double value) { return fixed_text(value, 3) + " %"; }

// What both standards report after their points.
template <class Result>
void put_overall(JsonWriter& json, const Result& result) {
    json.put("f0_percent", result.f0_percent)
        .put("f0_class", result.f0_class)
        .put("class", result.class_name);
    json.key("lowest_N");
    if (result.lowest_N)
        json.number(*result.lowest_N);
    else
        json.null();
    json.key("class_from").array();
    for (const auto& reach : result.reach)
        json.object().put("class", reach.name).put("from_N", reach.from_N).end();
    json.end();
}

template <class Result>
std::string overall_text(const Result& result, const std::string& standard) {
    std::string out = "Zero f0 " + fixed_percent(result.f0_percent) + " (class " + result.f0_class + ")\n";
    out += "Overall by " + standard + ": " +
           (result.class_name == "none" ? "no class" : "class " + result.class_name) + "\n";
    for (const auto& reach : result.reach)
        out += "  class " + reach.name + " from " + number_text(reach.from_N) + " N upward\n";
    if (!result.lowest_N) out += "  The highest point has no class, so there is no lowest usable force.\n";
    return out;
}

std::string text(const Class7500Result& result) {
    std::string out;
    for (const auto& point : result.points) {
        out += number_text(point.indicated_N) + " N: class " + point.class_name + "; q";
        for (const double q : point.q_percent) out += " " + fixed_percent(q);
        out += "; b " + fixed_percent(point.b_percent) +
               (point.v_percent ? "; v " + fixed_percent(*point.v_percent) : "") + "; a " +
               fixed_percent(point.a_percent) + "\n";
    }
    out += overall_text(result, "ISO 7500-1:2018");
    if (!result.range_reached)
        out += "  No point lies at 20 % of capacity or above, where the standard wants the range calibrated.\n";
    return out;
}

std::string text(const Class376Result& result) {
    std::string out;
    for (const auto& point : result.points)
        out += number_text(point.force_N) + " N: class " + point.class_name + "; b " +
               fixed_percent(point.b_percent) + "; b' " + fixed_percent(point.b_repeat_percent) + "; fc " +
               fixed_percent(point.fc_percent) + "; v " + fixed_percent(point.v_percent) + "\n";
    return out + overall_text(result, "ISO 376:2011");
}

std::string json_text(const Class7500Result& result) {
    JsonWriter json;
    json.object().key("points").array();
    for (const auto& point : result.points) {
        json.object().put("indicated_N", point.indicated_N).key("q_percent").array();
        for (const double q : point.q_percent) json.number(q);
        json.end().put("b_percent", point.b_percent).key("v_percent");
        if (point.v_percent)
            json.number(*point.v_percent);
        else
            json.null();
        json.put("a_percent", point.a_percent).put("class", point.class_name).end();
    }
    json.end();
    put_overall(json, result);
    return json.end().take();
}

std::string json_text(const Class376Result& result) {
    JsonWriter json;
    json.object().key("points").array();
    for (const auto& point : result.points)
        json.object()
            .put("force_N", point.force_N)
            .put("b_percent", point.b_percent)
            .put("b_repeat_percent", point.b_repeat_percent)
            .put("fc_percent", point.fc_percent)
            .put("v_percent", point.v_percent)
            .put("class", point.class_name)
            .end();
    json.end();
    put_overall(json, result);
    json.key("coefficients").array();
    for (const double c : result.coefficients) json.number(c);
    return json.end().end().take();
}

template <class Result>
Report report(const Result& result) {
    return {json_text(result), text(result)};
}

}  // namespace

void add_calibrate_class(CLI::App& calibrate) {
    add_readings_command(calibrate, "class7500",
                         "Class of the rig's own force indication (ISO 7500-1).\n"
                         "FILE is CSV with the lines `# capacity_N = 5000`, `# resolution_N = 1`, `# zero_N "
                         "= 4` (what is left after\n"
                         "unloading) and the columns series,direction,indicated_N,reference_N: series 1 to 3 "
                         "up, and if you like a\n"
                         "series 4 down. A class is that of the worst value; the overall class that "
                         "of the worst from 20 % of capacity upward,\n"
                         "and lowest_N the force from which upward it holds.",
                         [](const CsvReadings& table) { return report(class_7500(read_class_7500(table))); });
    add_readings_command(calibrate, "class376",
                         "Class of a reference load cell (ISO 376).\n"
                         "FILE is CSV with the lines `# capacity_reading = 2.0`, `# zero_before = 0.00001`, "
                         "`# zero_after = 0.00013`,\n"
                         "`# degree = 3` (and optionally `# resolution_reading`), and the columns "
                         "force_N,X1,X2,X3,X4d,X5,X6d: X1 and X2 in one\n"
                         "position, X3 and X5 rotated, X4d and X6d falling after them. A column Xa gives a "
                         "curve instead of the fit.",
                         [](const CsvReadings& table) { return report(class_376(read_class_376(table))); });
}

}  // namespace halfturn::command
