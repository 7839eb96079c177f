// How a plan reads: a page for people, JSON for programs.
#include <algorithm>

#include "core/folded_text.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"
#include "plan/plan.hpp"
#include "plan/words.hpp"

namespace halfturn::plan {

namespace {

void section(std::string& text, const char* title, const std::vector<Check>& checks, Grade grade, bool with_source) {
    bool first = true;
    for (const Check& check : checks) {
        if (check.grade != grade) continue;
        if (first) text += std::string("\n") + title + "\n";
        first = false;
        text += folded_text(check.says, "  * ", "    ");
        if (with_source && !check.source.empty()) text += folded_text("(" + check.source + ")", "    ", "    ");
    }
}

template <class Part>
void part_line(std::string& text, const char* what, const Choice<Part>& choice, bool given) {
    const std::string label = "  " + std::string(what) + std::string(10 - std::string(what).size(), ' ');
    std::string words = choice.chosen ? choice.chosen->name + ": " + choice.why : given ? "none; " + choice.why : choice.why;
    if (choice.chosen && given)
        words += choice.runner_up.empty() ? ". No other suits." : ". Next best " + choice.runner_up + ": " + choice.runner_up_why + ".";
    text += folded_text(words, label, std::string(12, ' '));
}

template <class Part>
void put_choice(JsonWriter& json, const char* key, const Choice<Part>& choice) {
    json.key(key).object();
    if (choice.chosen)
        json.put("name", choice.chosen->name);
    else
        json.key("name").null();
    json.put("why", choice.why);
    if (choice.runner_up.empty())
        json.key("runner_up").null();
    else
        json.put("runner_up", choice.runner_up).put("runner_up_why", choice.runner_up_why);
    json.end();
}

void put_checks(JsonWriter& json, const char* key, const std::vector<Check>& checks, bool reasons_only) {
    json.key(key).array();
    for (const Check& check : checks) {
        if (reasons_only && check.grade < Grade::with_care) continue;
        json.object().put("id", check.id).put("grade", grade_id(check.grade)).put("says", check.says).key("numbers").object();
        for (const auto& [name, value] : check.numbers) json.put(name, value);
        json.end().put("source", check.source).end();
    }
    json.end();
}

void put_texts(JsonWriter& json, const char* key, const std::vector<std::string>& texts) {
    json.key(key).array();
    for (const auto& text : texts) json.text(text);
    json.end();
}

}  // namespace

std::string plan_text(const Plan& plan) {
    const Band& force = plan.expectation.break_loose_N;
    std::string text = "Answer: " + answer_words(plan) + "\n";
    section(text, "Not this way, because", plan.checks, Grade::not_this_way, true);
    section(text, "With care", plan.checks, Grade::with_care, true);
    if (!plan.instead.empty()) {
        text += "\nWhat else there is\n";
        for (const auto& way : plan.instead) text += folded_text(way, "  * ", "    ");
    }
    text += "\nParts\n";
    part_line(text, "drift", plan.parts.drift, plan.inventory_given);
    part_line(text, "plug", plan.parts.plug, plan.inventory_given);
    part_line(text, "support", plan.parts.support, plan.inventory_given);
    part_line(text, "screw", plan.parts.screw, plan.inventory_given);
    part_line(text, "nut", plan.parts.nut, plan.inventory_given);
    if (plan.parts.screw_needs_mm > 0)
        text += folded_text("The stack takes " + mm(plan.parts.screw_needs_mm) + " of screw" +
                                (plan.parts.screw_need_is_least ? " at least." : "."),
                            std::string(12, ' '), std::string(12, ' '));
    text += "\nForce and torque\n";
    text += folded_text("expected " + newtons(force.low) + " to " + newtons(force.high) + ", most likely " + newtons(force.mid) +
                            (plan.limit_N ? "; never beyond " + newtons(*plan.limit_N) + ", the " + plan.limit_is : ""),
                        "  ", "  ");
    if (plan.torque)
        text += folded_text("set your wrench to " + newton_metres(plan.torque->set_Nm) + " (thread friction " +
                                fixed_text(plan.torque->friction, 2) + ", collar " + fixed_text(plan.torque->collar_friction, 3) + ")",
                            "  ", "  ");
    section(text, "Not checked", plan.checks, Grade::not_checked, false);
    section(text, "Know", plan.checks, Grade::note, true);
    section(text, "Checked and fine", plan.checks, Grade::fine, true);
    if (!plan.can_judge.empty() || !plan.cannot_judge.empty()) text += "\nWhat this rig's instruments can tell\n";
    for (const auto& line : plan.can_judge) text += folded_text(line, "  + ", "    ");
    for (const auto& line : plan.cannot_judge) text += folded_text(line, "  - ", "    ");
    text += "\nOrder of work\n";
    for (std::size_t i = 0; i < plan.steps.size(); ++i) {
        const std::string number = std::to_string(i + 1) + ". ";
        text += folded_text(plan.steps[i], "  " + number, std::string(2 + number.size(), ' '));
    }
    text +=
        "\n  Wear eye protection, keep hands clear of the drift, never go past the rated\n"
        "  load. Local rules and the part maker's instructions come before this page.\n";
    return text;
}

std::string plan_json(const Plan& plan) {
    JsonWriter json;
    const Band& force = plan.expectation.break_loose_N;
    json.object().put("answer", answer_id(plan.answer));
    put_checks(json, "reasons", plan.checks, true);
    put_texts(json, "instead", plan.instead);
    json.key("parts").object();
    put_choice(json, "drift", plan.parts.drift);
    put_choice(json, "plug", plan.parts.plug);
    put_choice(json, "support", plan.parts.support);
    put_choice(json, "screw", plan.parts.screw);
    put_choice(json, "nut", plan.parts.nut);
    json.end().key("break_loose_N").object().put("low", force.low).put("mid", force.mid).put("high", force.high).end();
    json.key("limit_N");
    if (plan.limit_N)
        json.number(*plan.limit_N).put("limit_is", plan.limit_is);
    else
        json.null();
    json.key("torque");
    if (plan.torque) {
        const Torque& torque = *plan.torque;
        json.object().put("set_Nm", torque.set_Nm).put("clicks_from_N", torque.set_low_N).put("clicks_to_N", torque.set_high_N)
            .put("expected_mid_Nm", torque.expected_mid_Nm).put("expected_high_Nm", torque.expected_high_Nm).key("limit_Nm");
        torque.limit_Nm ? json.number(*torque.limit_Nm) : json.null();
        json.put("thread_friction", torque.friction).put("collar_friction", torque.collar_friction).end();
    } else {
        json.null();
    }
    put_checks(json, "checks", plan.checks, false);
    put_texts(json, "steps", plan.steps);
    put_texts(json, "can_judge", plan.can_judge);
    put_texts(json, "cannot_judge", plan.cannot_judge);
    return json.end().take();
}

}  // namespace halfturn::plan
