#include "plan/set_up_card.hpp"

#include <algorithm>
#include <cctype>

#include "core/number_text.hpp"
#include "plan/stack_drawing.hpp"
#include "plan/words.hpp"

namespace halfturn::plan {

namespace {

using namespace sheet;

constexpr double drawing_height_mm = 96;

std::string job_line(const JobFile& job) {
    std::string line;
    const auto add = [&](const std::string& what, const std::string& value) {
        if (!value.empty()) line += (line.empty() ? "" : " · ") + what + value;
    };
    add("", job.item);
    add("seat ", job.seat);
    add("bearing ", job.bearing.designation);
    add("", job.work == Work::out ? (job.access == Access::past_spacer ? "out, past a spacer" : "out, straight through") : "in");
    add("", job.who);
    return line;
}

Table parts_table(const Stack& stack, const Plan& plan) {
    Table table{{{"", Align::left, 0.07}, {"part", Align::left, 0.26}, {"which", Align::left, 0.26}, {"size", Align::left, 0.41}}, {}};
    for (const StackItem& item : stack.items) table.rows.push_back({std::to_string(item.number), item.what, item.name, item.size});
    const auto missing = [&](const char* what, const auto& choice) {
        if (!choice.chosen) table.rows.push_back({"–", what, plan.inventory_given ? "none here suits" : "not chosen yet", ""});
    };
    missing("drift", plan.parts.drift);
    missing("centring plug", plan.parts.plug);
    missing("support", plan.parts.support);
    missing("screw", plan.parts.screw);
    return table;
}

Table force_table(const Plan& plan) {
    const Band& force = plan.expectation.break_loose_N;
    Table table{{{"", Align::left, 0.54}, {"", Align::left, 0.46}}, {}};
    const auto row = [&](const std::string& what, const std::string& value) { table.rows.push_back({what, value}); };
    row("force expected", newtons(force.low) + " to " + newtons(force.high));
    row("most likely", newtons(force.mid));
    row("never beyond", plan.limit_N ? newtons(*plan.limit_N) + ", the " + plan.limit_is : "not known: find it first");
    if (plan.expectation.limit_turns)
        row("a stuck ring reaches a limit after", figures_text(plan.expectation.limit_turns->low, 2) + " to " +
                                                      figures_text(plan.expectation.limit_turns->high, 2) + " turns from contact");
    if (plan.torque) {
        row("set the wrench to", newton_metres(plan.torque->set_Nm));
        row("it then clicks between", newtons(plan.torque->set_low_N) + " and " + newtons(plan.torque->set_high_N));
    }
    if (plan.expectation.fastest_turns_per_s > 0)
        row("turn no faster than", figures_text(plan.expectation.fastest_turns_per_s, 2) + " turns a second");
    return table;
}

std::string answer_box(const Plan& plan) {
    std::string answer = answer_words(plan);
    answer[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(answer[0])));
    std::string text = answer + ".";
    for (const Check& check : plan.checks)
        if (check.grade >= Grade::with_care) text += "\n" + check.says;
    return text;
}

std::vector<std::string> cautions() {
    return {"Eye protection on. What is wound up lets go at once: a drift or a ring can fly along the screw.",
            "Hands and face out of the line of the screw; hands clear of drift and ring while there is force on them.",
            "Never beyond the rated load of the weakest part. Stop when the screw bends, the support tips or the force climbs without release.",
            "After a stop: hold, back the screw off, wait until the force is gone; only then take apart.",
            "Local rules and the part maker's instructions come before this card."};
}

}  // namespace

Document set_up_card(const Plan& plan, const JobFile& job, const Stack& stack, Paper paper) {
    Document card;
    card.title = "Set-up card";
    card.subtitle = job_line(job);
    card.foot = "A plan, not a measurement: the numbers hold for the parts and sizes that the job and the inventory name.";
    card.paper = paper;
    card.one_page = true;
    card.blocks.push_back({Paragraph{answer_box(plan), Paragraph::Kind::boxed}});
    card.blocks.push_back({Figure{stack_drawing(stack, {text_width_mm(paper), drawing_height_mm}), ""}});
    std::vector<Block> left = {{Heading{"Parts"}}, {parts_table(stack, plan)}, {Heading{"Force and torque"}}, {force_table(plan)}};
    std::vector<Block> right = {{Heading{"Order of work"}}, {List{plan.steps, true}}, {Heading{"Cautions"}}, {List{cautions(), false}}};
    if (!plan.instead.empty()) {
        left.push_back({Heading{"What else there is"}});
        left.push_back({List{plan.instead, false}});
    }
    card.blocks.push_back({Beside{std::move(left), std::move(right), 0.47}});
    return card;
}

}  // namespace halfturn::plan
