#include "review/comparison_text.hpp"

#include <algorithm>
#include <cmath>

#include "core/folded_text.hpp"
#include "core/number_text.hpp"

namespace halfturn::review {
namespace {

constexpr std::size_t table_rows = 16, beside_first = 3, table_width = 17;

void put(JsonWriter& json, const char* key, const std::optional<double>& value) {
    json.key(key);
    if (value) json.number(*value);
    else json.null();
}

// Millinewtons are beyond any instrument here, and a tenth of the bytes less goes over the line.
double tidy(double value_N) { return std::round(value_N * 100) / 100; }

void put_all(JsonWriter& json, const char* key, const std::vector<std::optional<double>>& values) {
    json.key(key).array();
    for (const auto& value : values) {
        if (value) json.number(tidy(*value));
        else json.null();
    }
    json.end();
}

std::string right(std::string text, std::size_t width) {
    const std::size_t used = text.size();
    return used < width ? std::string(width - used, ' ') + text : text;
}

std::string difference_cell(const ComparedJob& job, std::size_t i) {
    if (!job.difference_N[i]) return job.force_N[i] ? "no pair" : "-";
    const double difference = *job.difference_N[i], U = *job.U_N[i];
    return (difference < 0 ? "" : "+") + fixed_text(difference, 0) + " +/- " + fixed_text(U, 0) + (std::fabs(difference) > U ? " *" : "  ");
}

// The first job beside those from `from` on and before `to`.
std::string table(const Comparison& c, std::size_t from, std::size_t to) {
    std::string text = "\n" + right("turns", 8) + right(c.jobs.front().label + ", N", 16);
    for (std::size_t j = from; j < to; ++j) text += right(c.jobs[j].label + ", N apart", table_width);
    text += "\n";
    for (std::size_t row = 0; row < table_rows; ++row) {
        const std::size_t i = row * (c.turns.size() - 1) / (table_rows - 1);
        text += right(fixed_text(c.turns[i], 3), 8) + right(c.jobs[0].force_N[i] ? fixed_text(*c.jobs[0].force_N[i], 0) : "-", 16);
        for (std::size_t j = from; j < to; ++j) text += right(difference_cell(c.jobs[j], i), table_width);
        while (text.back() == ' ') text.pop_back();
        text += "\n";
    }
    return text;
}

}  // namespace

void write_comparison(JsonWriter& json, const Comparison& c) {
    json.put("align", align_name(c.align)).key("turns").array();
    for (const double turns : c.turns) json.number(std::round(turns * 1e5) / 1e5);
    json.end().key("jobs").array();
    for (const ComparedJob& job : c.jobs) {
        json.object()
            .put("label", std::string_view(job.label))
            .put("says", std::string_view(job.says))
            .put("shifted_turns", job.shifted_turns);
        put(json, "release_N", job.release_N);
        put(json, "expected_N", job.expected_N);
        json.put("peak_N", job.peak_N).put("compared_share", job.compared_share).put("share_beyond", job.share_beyond);
        json.put("largest_N", job.largest_N).put("largest_U_N", job.largest_U_N).put("largest_at_turns", job.largest_at_turns);
        put_all(json, "force_N", job.force_N);
        put_all(json, "u_N", job.u_N);
        put_all(json, "difference_N", job.difference_N);
        put_all(json, "U_N", job.U_N);
        json.end();
    }
    json.end();
}

std::string comparison_text(const Comparison& c) {
    std::string text = "Laid together at " + std::string(align_name(c.align)) + ". The first job is what the others are compared with.\n";
    for (const ComparedJob& job : c.jobs) {
        std::string line = job.label + ": ";
        if (job.release_N) line += "broke loose at " + fixed_text(*job.release_N, 0) + " N";
        else line += "highest force " + fixed_text(job.peak_N, 0) + " N";
        if (job.expected_N) line += ", expected about " + fixed_text(*job.expected_N, 0) + " N";
        text += folded_text(line + (job.says.empty() ? "." : ". " + job.says), "  - ", "    ");
    }
    for (std::size_t from = 1; from < c.jobs.size(); from += beside_first)
        text += table(c, from, std::min(from + beside_first, c.jobs.size()));
    return text + "* beyond the doubt (+/-: twice the standard uncertainty).\n";
}

}  // namespace halfturn::review
