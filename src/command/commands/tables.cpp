// halfturn tables: the standards' tables the tool works with, cell by cell, each with its source.
#include <memory>
#include <string>
#include <vector>

#include "command/command.hpp"
#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "core/nearest_word.hpp"
#include "core/number_text.hpp"
#include "fit/bearing_tolerances.hpp"
#include "fit/bearings.hpp"
#include "fit/iso286.hpp"
#include "fit/materials.hpp"
#include "fit/threads.hpp"

namespace halfturn::command {

namespace {

using Words = std::vector<std::string>;

// One answer, written as text or as JSON from the same list, so that the two can't differ.
class Answer {
public:
    explicit Answer(std::string title) : title_(std::move(title)) { json_.object(); }
    Answer& number(const std::string& key, const std::string& label, double value, const std::string& unit) {
        json_.put(key, value);
        line(label, number_text(value) + (unit.empty() ? "" : " " + unit));
        return *this;
    }
    Answer& text(const std::string& key, const std::string& label, const std::string& value) {
        json_.put(key, value);
        line(label, value);
        return *this;
    }
    Answer& source(const fit::Source& source) { return text("source", "source", fit::source_text(source)); }
    Answer& limits(const auto& cell) {
        number("lower_um", "lower", cell.lower_um, "um").number("upper_um", "upper", cell.upper_um, "um");
        json_.put("over_mm", cell.over_mm).put("including_mm", cell.including_mm);
        line("sizes",
             "over " + number_text(cell.over_mm) + " up to " + number_text(cell.including_mm) + " mm");
        return source(cell.source);
    }
    JsonWriter& json() { return json_; }
    void line(const std::string& label, const std::string& value) {
        lines_ += "  " + label + std::string(label.size() < 20 ? 20 - label.size() : 1, ' ') + value + "\n";
    }
    void print(bool as_json) {
        json_.end();
        command::print(as_json ? json_.take() + "\n" : title_ + "\n" + lines_);
    }

private:
    std::string title_;
    std::string lines_;
    JsonWriter json_;
};

double size_mm(const std::string& text) {
    std::string_view number = text;
    if (number.ends_with("mm")) number.remove_suffix(2);
    const auto value = parse_number(number);
    if (!value || *value <= 0) throw BadInput("\"" + text + "\" is no size in mm: write it like 28 or 27.98");
    return *value;
}

void need(const Words& words, std::size_t count, const std::string& usage) {
    if (words.size() != count)
        throw BadInput("this table needs " + std::to_string(count - 1) + (count == 2 ? " word" : " words") +
                       " after its name: halfturn tables " + usage);
}

Answer hole_or_shaft(const Words& words) {
    const bool hole = words[0] == "hole";
    need(words, 3, hole ? "hole N7 28" : "shaft k5 20");
    const auto cell =
        fit::limits(hole ? fit::Feature::hole : fit::Feature::shaft, words[1], size_mm(words[2]));
    Answer answer((hole ? "Hole " : "Shaft ") + words[1] + ", nominal size " + words[2] + " mm");
    answer.limits(cell);
    return answer;
}

Answer grade(const Words& words) {
    need(words, 3, "grade IT7 28");
    std::string_view digits = words[1];
    if (digits.starts_with("IT")) digits.remove_prefix(2);
    const auto number = parse_integer(digits);
    if (!number) throw BadInput("\"" + words[1] + "\" is no tolerance grade: write IT5 to IT9");
    const double width = fit::standard_tolerance_um(static_cast<int>(*number), size_mm(words[2]));
    Answer answer("Standard tolerance IT" + std::to_string(*number) + ", nominal size " + words[2] + " mm");
    answer.number("tolerance_um", "tolerance", width, "um")
        .source({fit::Basis::looked_up, "ISO 286-1:2010, Table 1"});
    return answer;
}

Answer bearing(const Words& words) {
    need(words, 2, "bearing 61902");
    const auto found = fit::find_bearing(words[1]);
    Answer answer("Bearing " + found.designation + (found.also.empty() ? "" : ", also " + found.also));
    answer.json().put("designation", found.designation);
    answer.number("d_mm", "bore d", found.d_mm, "mm")
        .number("D_mm", "outside D", found.D_mm, "mm")
        .number("B_mm", "width B", found.B_mm, "mm")
        .number("r_min_mm", "chamfer r min", found.r_min_mm, "mm")
        .number("C0_N", "static rating C0", found.C0_N, "N")
        .text("C0_source", "C0 from", fit::source_text(found.C0_source))
        .source(found.dimensions_source);
    return answer;
}

Answer thread(const Words& words) {
    need(words, 2, "thread M8");
    const auto found = fit::find_thread(words[1]);
    Answer answer("Thread " + found.name);
    answer.json().put("thread", found.name);
    answer.number("d_mm", "diameter d", found.d_mm, "mm")
        .number("pitch_mm", "pitch P", found.pitch_mm, "mm")
        .number("d2_mm", "pitch diameter d2", found.d2_mm, "mm")
        .number("d3_mm", "root diameter d3", found.d3_mm, "mm")
        .number("stress_area_mm2", "stress area As", found.stress_area_mm2, "mm2");
    answer.json().key("proof_N").object();
    for (const auto& proof : found.proof_loads) {
        answer.json().put(proof.property_class, proof.load_N);
        answer.line("proof load " + proof.property_class, number_text(proof.load_N) + " N");
    }
    answer.json().end().put("proof_source", fit::source_text(found.proof_source));
    answer.line("proof loads", fit::source_text(found.proof_source));
    answer.source(found.source);
    return answer;
}

Answer material(const Words& words) {
    need(words, 2, "material 6061-T6");
    const auto found = fit::find_material(words[1]);
    Answer answer("Material " + found.name);
    answer.json().put("material", found.name);
    answer.number("E_GPa", "Young's modulus", found.E_GPa, "GPa")
        .number("E_u_GPa", "  doubt in it", found.E_u_GPa, "GPa")
        .number("nu", "Poisson's ratio", found.nu, "")
        .number("alpha_per_K", "expansion", found.alpha_per_K, "/K");
    if (found.yield_low_MPa > 0)
        answer.number("yield_MPa", "yield, lowest", found.yield_low_MPa, "MPa")
            .number("yield_high_MPa", "yield, highest", found.yield_high_MPa, "MPa");
    else
        answer.json().key("yield_MPa").null().key("yield_high_MPa").null();
    answer.source(found.source);
    return answer;
}

Answer clearance(const Words& words) {
    need(words, 3, "clearance CN 17");
    Answer answer("Radial internal clearance " + words[1] + ", bore " + words[2] + " mm");
    answer.limits(fit::radial_clearance(words[1], size_mm(words[2])));
    return answer;
}

Answer tolerance(const Words& words) {
    need(words, 4, "tolerance outer-diameter Normal 28");
    const Words kinds{"bore", "outer-diameter", "width"};
    fit::BearingDimension dimension{};
    if (words[1] == "bore")
        dimension = fit::BearingDimension::bore;
    else if (words[1] == "outer-diameter")
        dimension = fit::BearingDimension::outer_diameter;
    else if (words[1] == "width")
        dimension = fit::BearingDimension::width;
    else {
        const std::string near = nearest_word(words[1], kinds);
        throw BadInput("\"" + words[1] + "\" is no bearing dimension: use bore, outer-diameter or width" +
                       (near.empty() ? "" : " (did you mean " + near + "?)"));
    }
    Answer answer("Bearing " + words[1] + ", tolerance class " + words[2] + ", " +
                  (words[1] == "outer-diameter" ? "outside diameter " : "bore ") + words[3] + " mm");
    answer.limits(fit::bearing_tolerance(dimension, words[2], size_mm(words[3])));
    return answer;
}

struct Table {
    const char* name;
    Answer (*answer)(const Words&);
    Words (*names)();  // what `halfturn tables NAME list` prints; null where a list makes no sense
};
const Table tables[] = {{"hole", hole_or_shaft, fit::hole_classes},
                        {"shaft", hole_or_shaft, fit::shaft_classes},
                        {"grade", grade, nullptr},
                        {"bearing", bearing, fit::bearing_designations},
                        {"thread", thread, fit::thread_names},
                        {"material", material, fit::material_names},
                        {"clearance", clearance, fit::clearance_groups},
                        {"tolerance", tolerance, fit::bearing_tolerance_classes}};

void list(const Words& names, bool as_json) {
    JsonWriter json;
    std::string lines;
    json.array();
    for (const auto& name : names) {
        json.text(name);
        lines += name + "\n";
    }
    json.end();
    print(as_json ? json.take() + "\n" : lines);
}

void answer(const Words& words, bool as_json) {
    Words names;
    for (const auto& table : tables) {
        names.emplace_back(table.name);
        if (words[0] != table.name) continue;
        if (words.size() == 2 && words[1] == "list" && table.names != nullptr)
            list(table.names(), as_json);
        else
            table.answer(words).print(as_json);
        return;
    }
    const std::string near = nearest_word(words[0], names);
    throw BadInput("there is no table \"" + words[0] +
                   "\": use hole, shaft, grade, bearing, thread, material, clearance or "
                   "tolerance" +
                   (near.empty() ? "" : " (did you mean " + near + "?)"));
}

void add_tables(CLI::App* command, Status&) {
    auto words = std::make_shared<Words>();
    auto as_json = std::make_shared<bool>(false);
    command
        ->add_option("what", *words,
                     "hole N7 28 | shaft k5 20 | grade IT7 28 | bearing 61902 | thread M8 | "
                     "material 6061-T6 | clearance CN 17 | tolerance outer-diameter Normal 28 | NAME list")
        ->required()
        ->expected(1, 5);
    command->add_flag("--json", *as_json, "Print JSON");
    command->callback([words, as_json] { answer(*words, *as_json); });
}

}  // namespace

extern const Command command_tables;
const Command command_tables{
    "tables", "One cell of a standard's table, with its source: limits of holes and shafts, bearings, threads, materials",
    add_tables};

}  // namespace halfturn::command
