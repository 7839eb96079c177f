#include "review/search/job_query.hpp"

#include <chrono>

#include "core/failure.hpp"
#include "core/nearest_word.hpp"
#include "core/number_text.hpp"
#include "core/utf8.hpp"
#include "fit/bearings.hpp"
#include "review/finding.hpp"
#include "review/search/words.hpp"
#include "watch/rule.hpp"

namespace halfturn::review {
namespace {

constexpr std::size_t most_values = 50;

void need_known(const std::vector<std::string>& values, const std::vector<std::string>& known, const std::string& what) {
    for (const std::string& value : values) {
        bool found = false;
        std::string all;
        for (const std::string& one : known) {
            found = found || one == value;
            all += (all.empty() ? "" : ", ") + one;
        }
        if (found) continue;
        const std::string near = nearest_word(value, known);
        throw BadInput("there is no " + what + " " + shown(value) +
                       (near.empty() ? "; there are: " + all : ": did you mean " + near + "?"));
    }
}

std::vector<std::string> warning_ids() {
    std::vector<std::string> ids;
    for (const auto& rule : make_all_rules()) ids.emplace_back(rule->info().id);
    return ids;
}

std::vector<std::string> finding_ids() {
    std::vector<std::string> ids;
    for (const auto& finding : make_all_findings()) ids.emplace_back(finding->info().id);
    return ids;
}

bool yes_or_no(const std::string& text, const std::string& field) {
    if (text == "yes" || text == "no") return text == "yes";
    throw BadInput(field + " " + shown(text) + ": expected yes or no");
}

}  // namespace

const std::vector<QueryField>& query_fields() {
    static const std::vector<QueryField> fields = {
        {"search", "Only jobs with all these words in their texts, notes, inspections or names; \"in quotes\": side by side"},
        {"call", "Only jobs with this call: nothing-unusual, look-closer, cant-tell, stop-and-inspect"},
        {"bearing", "Only this bearing, by any of its designations; in this and the next five, * stands for any letters"},
        {"item", "Only jobs on this item"},
        {"seat", "Only jobs on this seat"},
        {"set", "Only jobs of this set"},
        {"who", "Only jobs by this person"},
        {"rig", "Only jobs on the rig of this name"},
        {"since", "Only jobs started on this day (2026-03-01), or minute (\"2026-03-01 14:30\"), or later; UTC"},
        {"until", "Only jobs started on this day or minute, or before; UTC"},
        {"warning", "Only jobs in which this warning fired (its id)"},
        {"finding", "Only jobs whose curve shows this (a finding's id); the first time, every curve is read for it"},
        {"signed-off", "yes or no: only jobs somebody signed off, or nobody did"},
        {"set-aside", "yes or no: only jobs somebody set aside, or nobody did"},
    };
    return fields;
}

void narrow(JobQuery& query, std::string_view field, const std::string& value) {
    const std::string name(field);
    if (name == "search") query.words += (query.words.empty() ? "" : " ") + value;
    else if (name == "call") query.calls.push_back(value);
    else if (name == "warning") query.warnings.push_back(value);
    else if (name == "finding") query.findings.push_back(value);
    else if (name == "bearing") query.bearings.push_back(value);
    else if (name == "item") query.items.push_back(value);
    else if (name == "seat") query.seats.push_back(value);
    else if (name == "set") query.sets.push_back(value);
    else if (name == "who") query.who.push_back(value);
    else if (name == "rig") query.rigs.push_back(value);
    else if (name == "since") query.since_utc_ms = time_span(value, name).first_utc_ms;
    else if (name == "until") query.until_utc_ms = time_span(value, name).after_utc_ms;
    else if (name == "signed-off") query.signed_off = yes_or_no(value, name);
    else if (name == "set-aside") query.set_aside = yes_or_no(value, name);
    else throw BadInput("jobs can't be asked for by " + shown(name));
}

void check_query(const JobQuery& query) {
    match_expression(query.words);
    need_known(query.calls, {"nothing-unusual", "look-closer", "stop-and-inspect", "cant-tell"}, "call");
    if (!query.warnings.empty()) need_known(query.warnings, warning_ids(), "warning");
    if (!query.findings.empty()) need_known(query.findings, finding_ids(), "finding");
    for (const auto* values : {&query.calls, &query.warnings, &query.findings, &query.bearings, &query.items, &query.seats,
                               &query.sets, &query.who, &query.rigs})
        if (values->size() > most_values)
            throw BadInput("at most " + std::to_string(most_values) + " values of one kind can be asked for at once");
}

TimeSpan time_span(const std::string& text, const std::string& field) {
    using namespace std::chrono;
    const auto part = [&](std::size_t at, std::size_t length) -> std::optional<std::int64_t> {
        if (text.size() < at + length) return {};
        for (std::size_t i = at; i < at + length; ++i)
            if (text[i] < '0' || text[i] > '9') return {};
        return parse_integer(text.substr(at, length));
    };
    const auto year_part = part(0, 4), month_part = part(5, 2), day_part = part(8, 2);
    const bool dated = year_part && month_part && day_part && text[4] == '-' && text[7] == '-';
    if (dated) {
        const year_month_day date{year(static_cast<int>(*year_part)), month(static_cast<unsigned>(*month_part)),
                                  day(static_cast<unsigned>(*day_part))};
        const std::int64_t midnight = date.ok() ? duration_cast<milliseconds>(sys_days(date).time_since_epoch()).count() : 0;
        if (date.ok() && text.size() == 10) return {midnight, midnight + 86'400'000};
        const auto hour_part = part(11, 2), minute_part = part(14, 2);
        if (date.ok() && text.size() == 16 && (text[10] == ' ' || text[10] == 'T') && text[13] == ':' && hour_part && minute_part &&
            *hour_part < 24 && *minute_part < 60)
        {
            const std::int64_t first = midnight + (*hour_part * 60 + *minute_part) * 60'000;
            return {first, first + 60'000};
        }
    }
    throw BadInput(field + " " + shown(text) + ": expected a day (2026-03-01) or a minute (2026-03-01 14:30), in UTC");
}

std::string one_bearing_name(const std::string& designation) {
    try {
        return fit::find_bearing(designation).designation;
    } catch (const BadInput&) {
        return designation;
    }
}

}  // namespace halfturn::review
