// The accuracy statement as JSON and as a document.
#include "calibrate/budget_json.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"
#include "report/accuracy.hpp"
#include "report/blocks.hpp"
#include "report/certificate.hpp"
#include "report/result_blocks.hpp"

namespace halfturn::report {
namespace {

using namespace sheet;

void put(JsonWriter& json, const char* key, const std::optional<CombinedAccuracy>& combined) {
    json.key(key);
    if (!combined) {
        json.null();
        return;
    }
    json.object();
    calibrate::put_budget(json, combined->budget, combined->gum, combined->monte_carlo);
    json.end();
}

std::string name_of(const Accuracy& one) { return one.configuration.empty() ? "As it is" : one.configuration; }

std::string speed_words(const Accuracy& one) { return figures_text(one.speed_turns_per_s, 2) + " turns a second"; }

void put_combined(std::vector<Block>& blocks, const std::optional<CombinedAccuracy>& combined) {
    if (!combined) return;
    JsonWriter json;
    json.object();
    calibrate::put_budget(json, combined->budget, combined->gum, combined->monte_carlo);
    put_budget(blocks, JsonValue::parse(json.end().take(), "budget"));
}

void put_forces(std::vector<Block>& blocks, const Accuracy& one) {
    if (one.forces.empty()) return;
    const bool turning = one.forces.back().turning_U_N.has_value();
    put_heading(blocks, "Force");
    Table table{{{"force, N", Align::right, 0.8}, {"at rest: U, N (95 %)", Align::right, 1.2}, {"%", Align::right, 0.7}}, {}};
    if (turning) {
        table.columns.push_back({"turning: U, N (95 %)", Align::right, 1.2});
        table.columns.push_back({"%", Align::right, 0.7});
    }
    for (const ForceAccuracy& at : one.forces) {
        const auto share = [&](double U_N) { return fixed_text(100 * U_N / at.force_N, 2); };
        table.rows.push_back({figures_text(at.force_N, 4), "± " + figures_text(at.at_rest_U_N, 3), share(at.at_rest_U_N)});
        if (!turning) continue;
        table.rows.back().push_back("± " + figures_text(*at.turning_U_N, 3));
        table.rows.back().push_back(share(*at.turning_U_N));
    }
    blocks.push_back({std::move(table)});
    if (turning)
        put_text(blocks, "While the screw turns at " + speed_words(one) + ", force grows by up to " + figures_text(one.hidden_N, 2) +
                             " N between two readings. The highest reading is therefore low by 0 to " + figures_text(one.hidden_N, 2) +
                             " N; the value of y below is enlarged by half of that, and U counts the rest.", Paragraph::Kind::small);
}

void put_configuration(std::vector<Block>& blocks, const Accuracy& one) {
    std::string summary;
    if (!one.forces.empty()) {
        const ForceAccuracy& top = one.forces.back();
        summary += "Force at " + figures_text(top.force_N, 4) + " N: ± " + figures_text(top.at_rest_U_N, 2) + " N at rest";
        if (top.turning_U_N) summary += ", ± " + figures_text(*top.turning_U_N, 2) + " N while turning at " + speed_words(one);
        summary += ".";
    }
    if (one.turn)
        summary += std::string(summary.empty() ? "" : "\n") + "Turn at which something happens: ± " +
                   figures_text(one.turn->gum.U, 2) + " turn" +
                   (one.speed_turns_per_s > 0 ? " while turning at " + speed_words(one) : "") + ".";
    if (!one.all_valid)
        summary += std::string(summary.empty() ? "" : "\n") +
                   "Not all certificates below hold today: this statement does not hold either until they are renewed.";
    if (summary.empty()) summary = "Nothing can be combined from the certificates there are.";
    put_text(blocks, summary, Paragraph::Kind::boxed);
    put_heading(blocks, "What it rests on");
    Table table{
        {{"", Align::left, 0.17}, {"says", Align::left, 0.38}, {"certificate", Align::left, 0.27}, {"state", Align::left, 0.18}},
        {}};
    for (const AccuracyTerm& term : one.terms)
        table.rows.push_back({term.kept->kind + (term.kept->channel.empty() ? "" : ", " + term.kept->channel) +
                                  (term.kept->serial.empty() ? "" : ", " + term.kept->serial),
                              term.says, term.kept->id, term.state + " (until " + term.kept->valid_until + ")"});
    blocks.push_back({std::move(table)});
    put_forces(blocks, one);
    put_combined(blocks, one.force);
    if (one.turn) {
        put_heading(blocks, "One turn, read from travel");
        put_combined(blocks, one.turn);
    }
    if (!one.missing.empty()) {
        put_heading(blocks, "What is not in it");
        put_list(blocks, one.missing);
    }
}

}  // namespace

std::string accuracy_json(const std::vector<Accuracy>& all, const std::string& rig, const std::string& day, const std::string& head) {
    JsonWriter json;
    json.object().put("rig", rig).put("day", day).key("configurations").array();
    for (const Accuracy& one : all) {
        json.object().put("configuration", one.configuration).put("all_valid", one.all_valid).key("certificates").array();
        for (const AccuracyTerm& term : one.terms)
            json.object().put("kind", term.kept->kind).put("channel", term.kept->channel).put("says", term.says).put("id", term.kept->id)
                .put("valid_until", term.kept->valid_until).put("state", term.state).end();
        json.end().put("speed_turns_per_s", one.speed_turns_per_s).put("hidden_N", one.hidden_N).key("forces").array();
        for (const ForceAccuracy& at : one.forces) {
            json.object().put("force_N", at.force_N).put("at_rest_U_N", at.at_rest_U_N).key("turning_U_N");
            if (at.turning_U_N) json.number(*at.turning_U_N);
            else json.null();
            json.end();
        }
        json.end();
        put(json, "force_budget", one.force);
        put(json, "turn_budget", one.turn);
        json.key("missing").array();
        for (const auto& what : one.missing) json.text(what);
        json.end().end();
    }
    return json.end().put("head", head).end().take();
}

Document accuracy_document(const std::vector<Accuracy>& all, const std::string& rig, const std::string& day,
                           const std::string& head, Paper paper) {
    Document document;
    document.title = "Accuracy of " + rig;
    document.subtitle = "From its certificates, as they stood on " + day;
    document.foot = document.title + " · " + day + " · made by the workshop, not by an accredited laboratory";
    document.paper = paper;
    auto& blocks = document.blocks;
    bool first = true;
    for (const Accuracy& one : all) {
        if (all.size() > 1 && !first) blocks.push_back({PageBreak{}});
        if (all.size() > 1 || !one.configuration.empty()) blocks.push_back({Heading{name_of(one), true}});
        put_configuration(blocks, one);
        first = false;
    }
    put_heading(blocks, "About these numbers");
    put_text(blocks,
             "U is the expanded uncertainty for a coverage probability of 95 %: standard uncertainties combined by the GUM "
             "(JCGM 100:2008), times k from Student's t. The numbers hold for the configuration named, its drift, free span and "
             "speed, and for the certificates' days; they say nothing about a rig that was dropped, bent or changed since.");
    put_check(blocks, Facts(), head, "Each certificate: halfturn calibrate certificate ID.");
    return document;
}

}  // namespace halfturn::report
