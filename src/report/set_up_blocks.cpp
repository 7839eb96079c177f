#include "report/set_up_blocks.hpp"

#include <algorithm>

#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "report/blocks.hpp"
#include "report/figures.hpp"

namespace halfturn::report {

using namespace sheet;

std::string work_words(const SetUp& set_up) {
    if (set_up.work == Work::in) return "bearing in";
    return std::string("bearing out") + (set_up.access == Access::past_spacer ? ", past a spacer"
                                         : set_up.access == Access::through   ? ", straight through"
                                                                              : "");
}

std::string band_words(const Band& band, int figures, const std::string& unit) {
    return figures_text(band.low, figures) + " to " + figures_text(band.high, figures) + " " + unit + ", most likely " +
           figures_text(band.mid, figures) + " " + unit;
}

void put_instruments(std::vector<Block>& blocks, const JobFacts& facts) {
    put_heading(blocks, "Instruments and certificates");
    Table table{{{"measures", Align::left, 0.16}, {"instrument", Align::left, 0.37}, {"certificate", Align::left, 0.47}}, {}};
    const auto used = instruments_used(facts);
    for (const InstrumentUsed& one : used) table.rows.push_back({one.what, one.how, one.certificate});
    blocks.push_back({std::move(table)});

    put_heading(blocks, "Uncertainty");
    std::vector<std::string> lines;
    const Judgement& now = facts.judged.now;
    const auto force = std::find_if(used.begin(), used.end(), [](const InstrumentUsed& one) { return one.what == "force"; });
    const double at_N = now.break_loose ? now.break_loose->force_N : now.peak_N;
    if (force != used.end() && force->kept) {
        const auto U = force_U_N(*force->kept, at_N);
        lines.push_back(U ? "A force of " + newtons(at_N) + " was read to ± " + figures_text(*U, 2) + " N (95 %), by " +
                                force->kept->id + "."
                          : "A force of " + newtons(at_N) + " lies above what " + force->kept->id +
                                " covers: what it is worth is not known.");
    } else if (force != used.end()) lines.push_back("What the force readings are worth is not known: no valid certificate says so.");
    if (now.break_loose)
        lines.push_back("Between two readings the release may have reached " + newtons(now.break_loose->force_bound_N) + ", " +
                        newtons(now.break_loose->force_bound_N - now.break_loose->force_N) +
                        " more than was read. The call takes this into account.");
    const auto travel = std::find_if(used.begin(), used.end(), [](const InstrumentUsed& one) { return one.what == "screw-travel"; });
    if (travel != used.end()) {
        const auto U = travel->kept ? number_in(travel->kept->result, "U_mm") : std::nullopt;
        lines.push_back(U ? "Screw travel was read to ± " + fixed_text(*U, 3) + " mm (95 %), by " + travel->kept->id + "."
                          : "What the screw travel is worth is not known: no valid certificate says so.");
    }
    const Band& stiffness = facts.judged.set_up.stiffness_N_per_mm;
    if (stiffness.mid > 0)
        lines.push_back("The press gives between " + figures_text(stiffness.low, 3) + " and " + figures_text(stiffness.high, 3) +
                        " N/mm (95 %), " + (facts.judged.set_up.stiffness_measured ? "measured." : "estimated, not measured."));
    put_list(blocks, lines);
}

namespace {

// What each number of the expectation rests on, as it was frozen.
void put_grounds(std::vector<Block>& blocks, const std::string& expectation_json) {
    if (expectation_json.empty()) return;
    try {
        const JsonValue whole = JsonValue::parse(expectation_json, "expectation");
        if (const JsonValue* widest = whole.find("widest_input")) put_text(blocks, widest->text());
        const JsonValue* grounds = whole.find("rests_on");
        if (!grounds) return;
        Table table{{{"the expectation rests on", Align::left, 0.25},
                     {"value", Align::left, 0.3},
                     {"basis", Align::left, 0.15},
                     {"source", Align::left, 0.3}},
                    {}};
        for (const JsonValue& ground : grounds->items())
            table.rows.push_back(
                {ground.at("what").text(), ground.at("value").text(), ground.at("basis").text(), ground.at("source").text()});
        if (!table.rows.empty()) blocks.push_back({std::move(table)});
    } catch (const BadInput&) {
        put_text(blocks, "What the expectation rests on can't be read; the store keeps it as it was frozen.", Paragraph::Kind::small);
    }
}

}  // namespace

void put_set_up(std::vector<Block>& blocks, const JobFacts& facts) {
    const SetUp& set_up = facts.judged.set_up;
    put_heading(blocks, "The set-up, as it was frozen when the job began");
    Facts table;
    table.add("work", work_words(set_up) + (set_up.designation.empty() ? "" : ", bearing " + set_up.designation));
    table.add("rig", set_up.rig);
    table.add("screw", set_up.pitch_mm > 0 ? "one turn is " + number_text(set_up.pitch_mm) + " mm"
                                           : "pitch not known: turns can't be worked out from travel");
    table.add("limit", set_up.force_limit_N > 0 ? "never beyond " + newtons(set_up.force_limit_N) + "; a stop takes the hand " +
                                                      figures_text(set_up.lead_s, 2) + " s"
                                                : "no force limit was given");
    if (set_up.fastest_turns_per_s > 0)
        table.add("speed", "these instruments can follow " + figures_text(set_up.fastest_turns_per_s, 2) + " turns a second");
    if (set_up.seat_length_mm > 0)
        table.add("seat",
                  figures_text(set_up.seat_length_mm, 3) + " mm of contact; a normal ring " +
                      (set_up.work == Work::out ? "breaks loose within " + figures_text(set_up.half_turn, 2) + " turn of contact"
                                                : "is home after that"));
    table.add(set_up.work == Work::out ? "force expected to break loose" : "force expected when nearly home",
              set_up.break_loose_N.high > 0 ? band_words(set_up.break_loose_N, 3, "N") : "");
    table.add(set_up.work == Work::out ? "force expected just after" : "",
              set_up.work == Work::out && set_up.sliding_N.high > 0 ? band_words(set_up.sliding_N, 3, "N") : "");
    table.put(blocks);
    put_list(blocks, set_up.marks);
    put_grounds(blocks, set_up.expectation_json);
    put_heading(blocks, "What could be judged, and what not");
    std::vector<std::string> lines;
    for (const auto& what : facts.judged.now.can_judge) lines.push_back("could be judged: " + what);
    for (const auto& what : facts.judged.now.cannot_judge) lines.push_back("could not be judged: " + what);
    put_list(blocks, lines);
}

}  // namespace halfturn::report
