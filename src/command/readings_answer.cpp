#include "command/readings_answer.hpp"

#include <algorithm>
#include <cmath>

#include "command/query_string.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"
#include "core/utf8.hpp"
#include "record/sample_store.hpp"

namespace halfturn::command {
namespace {

constexpr std::int64_t usual_columns = 1200, most_columns = 4000;
// Without kept samples they are made from the events for each picture; that of a longer job nobody would wait for.
constexpr std::int64_t most_events_unkept = 200'000;
constexpr double longest_s = 1e9;

struct Stretch {
    std::optional<double> from_s, to_s;
    std::int64_t columns = usual_columns;
};

Stretch asked_for(const std::string& query) {
    Stretch asked;
    for (const auto& [name, value] : query_pairs(query)) {
        if (name == "from_s" || name == "to_s") {
            const auto number = parse_number(value);
            if (!number || !(std::fabs(*number) <= longest_s)) throw BadInput(name + " " + shown(value) + " is not a time in seconds");
            (name == "from_s" ? asked.from_s : asked.to_s) = *number;
        } else if (name == "columns") {
            const auto number = parse_integer(value);
            if (!number || *number < 1 || *number > most_columns)
                throw BadInput("columns " + shown(value) + ": expected 1 to " + std::to_string(most_columns));
            asked.columns = *number;
        } else {
            throw BadInput("readings have no " + shown(name));
        }
    }
    if (asked.from_s && asked.to_s && !(*asked.from_s < *asked.to_s)) throw BadInput("from_s must lie before to_s");
    return asked;
}

struct Shown {
    std::string_view unit;
    double parts;  // of one unit: finer than any instrument here tells
};

Shown shown_in(Measure measure) {
    if (measure == Measure::force) return {"N", 1e2};
    return measure == Measure::turns ? Shown{"turns", 1e5} : Shown{"mm", 1e4};
}

void put_channel(JsonWriter& json, Measure measure, const std::vector<samples::Column>& columns) {
    const auto [unit, parts] = shown_in(measure);
    json.object().put("measures", measure_name(measure)).put("unit", unit).key("columns").array();
    for (const samples::Column& column : columns) {
        if (column.any) json.array().number(std::round(column.low * parts) / parts).number(std::round(column.high * parts) / parts).end();
        else json.null();
    }
    json.end().end();
}

}  // namespace

std::string readings_json(record::Store& store, const record::JobRow& job, const std::string& query) {
    const Stretch asked = asked_for(query);
    JsonWriter json;
    json.object().put("number", job.number);
    if (job.events > most_events_unkept && !record::has_samples(store, job.number)) {
        const std::string number = std::to_string(job.number);
        return json
            .put("why_not", "The compact readings of this long job were not kept; \xE2\x80\x9Chalfturn rejudge " + number +
                                " --samples\xE2\x80\x9D makes them from its events.")
            .key("channels")
            .array()
            .end()
            .end()
            .take();
    }
    record::JobSamples samples(store, job);
    const std::vector<ChannelSetUp>& channels = samples.set_up().channels;
    std::optional<record::JobSamples::Span> whole;
    for (std::size_t i = 0; i < channels.size(); ++i)
        if (const auto span = samples.span(static_cast<std::uint16_t>(i)))
            whole = whole ? record::JobSamples::Span{std::min(whole->first_ns, span->first_ns),
                                                     std::max(whole->last_ns, span->last_ns)}
                          : *span;
    if (!whole) return json.put("why_not", "No readings were recorded.").key("channels").array().end().end().take();
    // The last reading belongs to the whole.
    const Instant begin = whole->first_ns, end = whole->last_ns + 1;
    const Instant from = asked.from_s ? from_seconds(*asked.from_s) : begin;
    const Instant to = std::max(asked.to_s ? from_seconds(*asked.to_s) : end, from + 1);
    json.key("whole").object().put("from_s", seconds(begin)).put("to_s", seconds(end)).end();
    json.put("from_s", seconds(from)).put("to_s", seconds(to)).put("why_not", "").key("channels").array();
    for (std::size_t i = 0; i < channels.size(); ++i)
        put_channel(json, channels[i].measures,
                    samples.draw(static_cast<std::uint16_t>(i), from, to, static_cast<std::size_t>(asked.columns)));
    return json.end().end().take();
}

}  // namespace halfturn::command
