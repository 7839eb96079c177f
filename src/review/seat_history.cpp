#include "review/seat_history.hpp"

#include "core/failure.hpp"
#include "files/json_value.hpp"

namespace halfturn::review {
namespace {

std::optional<double> number_of(const JsonValue* json, std::string_view key) {
    const JsonValue* found = json == nullptr ? nullptr : json->find(key);
    if (found == nullptr || found->kind() != JsonValue::Kind::number) return {};
    return found->number();
}

}  // namespace

JudgedFigures figures_from_judgement(std::string_view text) {
    JudgedFigures figures;
    try {
        const JsonValue json = JsonValue::parse(text, "the judgement");
        const JsonValue* release = json.find("break_loose");
        figures.break_loose_N = number_of(release, "force_N");
        figures.break_loose_turns = number_of(release, "turns_from_contact");
        figures.peak_N = number_of(&json, "peak_N");
        figures.contact_turns = number_of(&json, "contact_turns");
        const JsonValue* expected = json.find("expected");
        figures.expected_N = number_of(expected == nullptr ? nullptr : expected->find("break_loose_N"), "mid");
        if (figures.expected_N && *figures.expected_N <= 0) figures.expected_N.reset();
    } catch (const BadInput&) {
        return {};
    }
    return figures;
}

SeatHistory seat_history(record::Store& store, std::string_view item, std::string_view seat) {
    SeatHistory history;
    if (item.empty()) return history;
    record::JobFilter filter;
    filter.item = item;
    filter.seat = seat;
    for (record::JobRow& job : record::list_jobs(store, filter)) {
        if (job.seat != seat) continue;  // an empty filter means any
        const auto judgements = record::read_judgements(store, job.number);
        SeatJob one{std::move(job), {}};
        if (!judgements.empty()) one.figures = figures_from_judgement(judgements.back().judged.json);
        history.jobs.insert(history.jobs.begin(), std::move(one));
    }
    history.entries = entries_of_seat(store, item, seat);
    return history;
}

}  // namespace halfturn::review
