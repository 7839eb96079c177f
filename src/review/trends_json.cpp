// Trends for programs and for the page that draws them.
#include "core/json_writer.hpp"
#include "record/wall_clock.hpp"
#include "review/trends.hpp"

namespace halfturn::review {
namespace {

void put_optional(JsonWriter& json, std::string_view key, const std::optional<double>& value) {
    json.key(key);
    if (value) json.number(*value);
    else json.null();
}

void put_limits(JsonWriter& json, const ControlChart& chart) {
    json.key("limits").object().put("known", chart.known);
    if (chart.known) {
        json.put("centre", chart.centre).put("low", chart.low).put("high", chart.high).put("provisional", chart.provisional);
        json.put("range_mean", chart.mean_range).put("range_high", chart.range_high);
    } else json.put("why_not", std::string_view(chart.why_not));
    json.put("jobs", static_cast<std::int64_t>(chart.base)).put("ranges", static_cast<std::int64_t>(chart.ranges)).end();
}

void put_points(JsonWriter& json, const TrendChart& one) {
    json.key("points").array();
    for (std::size_t i = 0; i < one.points.size(); ++i) {
        const TrendPoint& point = one.points[i];
        json.object().put("number", point.number).put("job", std::string_view(point.job_id));
        json.put("started", record::utc_text(point.started_utc_ms)).put("value", point.value);
        put_optional(json, "moving_range", one.chart.moving_range[i]);
        json.key("gap");
        if (point.gap.empty()) json.null();
        else json.text(point.gap);
        json.key("signals").array();
        for (const Run& run : one.chart.runs)
            if (run.from <= i && i <= run.to) json.text(run_rule_id(run.rule));
        json.end().end();
    }
    json.end();
}

void put_capability(JsonWriter& json, const TrendChart& one) {
    json.key("capability");
    if (!one.capability) {
        json.null();
        return;
    }
    const Capability& c = *one.capability;
    json.object();
    put_optional(json, "low", c.low);
    put_optional(json, "high", c.high);
    json.put("limits", one.limits_expected ? "expected" : "given").put("jobs", static_cast<std::int64_t>(c.n));
    json.put("in_order", one.chart.known && one.chart.runs.empty());
    put_optional(json, "cp", c.cp);
    put_optional(json, "cp_low", c.cp_low);
    put_optional(json, "cp_high", c.cp_high);
    json.put("cpk", c.cpk).put("cpk_low", c.cpk_low).put("cpk_high", c.cpk_high).end();
}

}  // namespace

std::string trend_json(const Trend& trend) {
    const ChartedInfo& info = charted_info(trend.question.charted);
    JsonWriter json;
    json.object().put("charted", info.id).put("title", info.title).put("unit", info.unit).put("logarithmic", info.logarithmic);
    json.put("work", work_name(trend.question.work)).put("by", by_id(trend.question.by)).put("pause_days", trend.question.pause_days);
    json.key("rules").array();
    for (const RunRule rule : trend.question.chart.rules.rules)
        json.object().put("id", run_rule_id(rule)).put("says", run_rule_words(rule)).end();
    json.end().key("charts").array();
    for (const TrendChart& one : trend.charts) {
        json.object().put("group", std::string_view(one.group));
        put_limits(json, one.chart);
        put_points(json, one);
        json.key("signals").array();
        for (const Run& run : one.chart.runs)
            json.object()
                .put("rule", run_rule_id(run.rule))
                .put("says", run_rule_words(run.rule))
                .put("from", one.points[run.from].number)
                .put("seen", one.points[run.seen].number)
                .put("to", one.points[run.to].number)
                .end();
        json.end();
        put_capability(json, one);
        json.end();
    }
    json.end().key("left_out").array();
    for (const TrendLeftOut& one : trend.left_out)
        json.object()
            .put("number", one.number)
            .put("group", std::string_view(one.group))
            .put("because", std::string_view(one.because))
            .end();
    return json.end().end().take();
}

}  // namespace halfturn::review
