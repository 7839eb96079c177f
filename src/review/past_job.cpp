#include "review/past_job.hpp"

#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "files/json_value.hpp"
#include "fit/bearings.hpp"
#include "record/rejudge.hpp"
#include "review/entries.hpp"
#include "review/thinned_samples.hpp"

namespace halfturn::review {
namespace {

std::string bearing_name(const JobFile::Bearing& bearing) {
    if (bearing.d_mm && bearing.D_mm && bearing.B_mm && bearing.designation.empty())
        return number_text(*bearing.d_mm) + " x " + number_text(*bearing.D_mm) + " x " + number_text(*bearing.B_mm);
    return review::bearing_name(bearing.designation);
}

}  // namespace

std::string bearing_name(const std::string& designation) {
    try {
        return fit::find_bearing(designation).designation;
    } catch (const BadInput&) {
        return designation;
    }
}

PastJob read_past_job(record::Store& store, record::JobRow row) {
    PastJob past{std::move(row), {}, {}, {}};
    past.set_up = record::read_set_up(store, past.row.number);
    try {
        if (!past.set_up.job_text.empty()) past.job = read_job_text(past.set_up.job_text, "job " + std::to_string(past.row.number));
    } catch (const BadInput&) {
        past.job.reset();  // written for another program version; what its set-up froze still stands
    }
    for (const Entry& entry : entries_of_job(store, past.row.number))
        if (entry.stands_as("set-aside")) past.set_aside = "set aside by " + entry.row.who + ": " + entry.words;
    return past;
}

std::string family_name(const JobFile& job) {
    const auto& fit = job.seat_fit;
    return bearing_name(job.bearing) + " in " + (job.housing.material.empty() ? "unknown metal" : job.housing.material) + ", " +
           (job.housing.section.empty() ? std::string(housing_shape_id(job.housing.shape)) + " shape" : "given section") + ", " +
           (fit.bore_mm ? "measured bore" : fit.tolerance_class.empty() ? "unknown class" : fit.tolerance_class);
}

std::string family_name(const PastJob& job) { return job.job ? family_name(*job.job) : job.row.designation; }

void read_again(record::Store& store, const PastJob& job, const std::function<void(const ReadAgain&)>& use) {
    ThinnedSamples samples;
    const record::Rejudged judged = record::judge_again(store, job.row, [&](const Sample& sample) { samples.add(sample); });
    const Evidence evidence = evidence_of(samples.take(), judged.set_up, judged.now);
    use({judged.now, evidence, review_seat(evidence)});
}

Band expected_at_first(const SetUp& set_up) {
    if (set_up.expectation_json.find("\"family\"") == std::string::npos) return set_up.break_loose_N;
    try {
        const JsonValue json = JsonValue::parse(set_up.expectation_json, "expectation");
        const JsonValue* family = json.find("family");
        const JsonValue* prior = family == nullptr ? nullptr : family->find("prior");
        if (prior == nullptr) return set_up.break_loose_N;
        const JsonValue& band = prior->at("break_loose_N");
        return {band.at("low").number(), band.at("mid").number(), band.at("high").number()};
    } catch (const BadInput&) {
        return set_up.break_loose_N;
    }
}

}  // namespace halfturn::review
