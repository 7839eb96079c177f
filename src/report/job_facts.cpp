#include "report/job_facts.hpp"

#include <algorithm>

#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "record/wall_clock.hpp"
#include "report/blocks.hpp"
#include "review/inspection.hpp"
#include "review/thinned_samples.hpp"

namespace halfturn::report {
namespace {

std::string day_of(const record::JobRow& job) { return record::utc_text(job.started_utc_ms).substr(0, 10); }

// The certificate kinds that say what a channel's numbers are worth.
std::string_view kind_for(Measure measure) {
    return measure == Measure::force ? "force" : measure == Measure::turns ? "pitch" : "travel";
}

// The newest of this kind for the rig that had been made by then.
const KeptCertificate* newest_before(const JobFacts& facts, std::string_view kind) {
    for (const KeptCertificate& kept : facts.certificates)
        if (kept.kind == kind && kept.rig == facts.judged.set_up.rig && kept.made <= day_of(facts.job)) return &kept;
    return nullptr;
}

std::string held_words(const KeptCertificate& kept, const std::string& day) {
    std::string words = kept.id + ", made " + kept.made;
    if (!kept.serial.empty()) words += ", instrument " + kept.serial;
    const bool held = kept.made <= day && day <= kept.valid_until;
    words += held ? ", valid that day (until " + kept.valid_until + ")" : "; not valid that day (until " + kept.valid_until + ")";
    if (!kept.superseded_by.empty()) words += "; superseded since by " + kept.superseded_by;
    return words;
}

std::string channel_words(const ChannelSetUp& channel, const SetUp& set_up) {
    std::string words;
    const auto add = [&](const std::string& more) { words += (words.empty() ? "" : ", ") + more; };
    if (channel.port < set_up.ports.size()) {
        const PortSetUp& port = set_up.ports[channel.port];
        add("port " + port.name + (port.format.empty() ? "" : ", format " + port.format));
    }
    const bool force = channel.measures == Measure::force;
    const std::string unit = force ? " N" : channel.measures == Measure::turns ? "" : " mm";
    if (channel.capacity > 0) add("made for up to " + number_text(channel.capacity) + unit);
    if (channel.readings_per_s > 0) add(figures_text(channel.readings_per_s, 3) + " readings a second");
    if (channel.least_count > 0) add("smallest step " + number_text(channel.least_count) + unit);
    if (channel.counts_per_turn > 0)
        add(number_text(channel.counts_per_turn) + (channel.counts_per_turn == 1 ? " count a turn" : " counts a turn"));
    return words;
}

}  // namespace

JobFacts job_facts(record::Store& store, const record::JobRow& job) {
    JobFacts facts;
    facts.job = job;
    review::ThinnedSamples kept;
    facts.judged = record::judge_again(store, job, [&](const Sample& sample) { kept.add(sample); });
    facts.samples = kept.take();
    for (review::Entry& entry : review::entries_of_job(store, job.number)) {
        EntryWithPhoto with{std::move(entry), {}};
        if (with.entry.row.kind == "inspection") {
            try {
                const auto inspection = review::inspection_from_json(with.entry.row.json);
                if (!inspection.photo.empty()) with.photo = record::read_photo(store, inspection.photo);
            } catch (const BadInput&) {  // its words say so
            }
        }
        facts.entries.push_back(std::move(with));
    }
    facts.seat_jobs = review::seat_history(store, job.item, job.seat).jobs;
    facts.hashes = record::read_job_hashes(store, job.number);
    facts.certificates = read_kept_certificates(store);
    facts.head = store.head();
    return facts;
}

std::vector<InstrumentUsed> instruments_used(const JobFacts& facts) {
    const SetUp& set_up = facts.judged.set_up;
    const std::string day = day_of(facts.job);
    std::vector<InstrumentUsed> all;
    for (const ChannelSetUp& channel : set_up.channels) {
        InstrumentUsed used{std::string(measure_name(channel.measures)), channel_words(channel, set_up), {}, nullptr};
        const bool named = !channel.calibration.empty();
        const KeptCertificate* kept =
            named ? find_certificate(facts.certificates, channel.calibration) : newest_before(facts, kind_for(channel.measures));
        if (kept && kept->made <= day && day <= kept->valid_until) {
            used.certificate = held_words(*kept, day) + (named ? "" : "; not named by the set-up, but on record for this rig");
            // A force is only worth what a certificate says when the job was recorded through that certificate's curve.
            if (named || channel.measures != Measure::force) used.kept = kept;
        } else if (kept) used.certificate = "without a valid certificate: " + held_words(*kept, day);
        else if (named) used.certificate = "without a valid certificate: " + channel.calibration + " is not kept in this store";
        else used.certificate = "without a valid certificate";
        if (!named && channel.measures == Measure::force && kept) used.certificate = "without a valid certificate: the set-up names none";
        all.push_back(std::move(used));
    }
    for (const std::string_view kind : {"stiffness", "lag"}) {
        const KeptCertificate* kept = newest_before(facts, kind);
        if (kept) all.push_back({std::string(kind) + " of the rig", kept->configuration, held_words(*kept, day), kept});
    }
    return all;
}

std::optional<double> force_U_N(const KeptCertificate& kept, double force_N) {
    const JsonValue* list = kept.result.find("uncertainty");
    if (!list || list->kind() != JsonValue::Kind::array) return {};
    double before_N = 0, before_U = 0;
    bool first = true;
    for (const JsonValue& one : list->items()) {
        const auto at_N = number_in(one, "force_N"), U_N = number_in(one, "U_N");
        if (!at_N || !U_N) return {};
        if (force_N <= *at_N) {
            // Below the lowest force the expanded uncertainty is no smaller than there.
            if (first || *at_N <= before_N) return U_N;
            return before_U + (*U_N - before_U) * (force_N - before_N) / (*at_N - before_N);
        }
        before_N = *at_N, before_U = *U_N, first = false;
    }
    return {};
}

}  // namespace halfturn::report
