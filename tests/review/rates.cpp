#include "review/rates.hpp"

#include "core/number_text.hpp"
#include "practice/random.hpp"
#include "practice_jobs/judged_job.hpp"
#include "review/evidence.hpp"

namespace halfturn::test {
namespace {

std::string rig_text(const SimulatedRig& rig) {
    std::string text = example("rig");
    const auto cut = [&](const char* from, const char* to) {
        const std::size_t at = text.find(from), end = to == nullptr ? text.size() : text.find(to, at + 1);
        text.erase(at, end - at);
    };
    if (!rig.counter) {
        cut("[[port]]\nname = \"counter\"", "[[channel]]");
        cut("[[channel]]\nport = \"counter\"", nullptr);
    }
    const std::string rate = "readings_per_s = 80";
    text.replace(text.find(rate), rate.size(),
                 "readings_per_s = " + std::to_string(static_cast<int>(rig.force_per_s)));
    return text;
}

std::vector<std::string> ports_of(const SimulatedRig& rig) {
    std::vector<std::string> ports{"force=hdr-comma:force,rate_hz=" + std::to_string(rig.force_per_s) +
                                       ",noise=" + std::to_string(rig.force_noise_N),
                                   "caliper=value-unit:screw-travel"};
    if (rig.counter) ports.push_back("counter=axis-semi:turns");
    return ports;
}

}  // namespace

const std::vector<SimulatedKind>& simulated_kinds() {
    static const std::vector<SimulatedKind> kinds = {{"clean", "nothing-unusual"},
                                                     {"press-in", "nothing-unusual"},
                                                     {"loose-seat", "loose"},
                                                     {"bonded", "bonded-or-corroded"},
                                                     {"seized", "bonded-or-corroded"},
                                                     {"tilting", "cocked"},
                                                     {"galled", "galled"},
                                                     {"out-of-round", "out-of-round-or-bent-screw"},
                                                     {"tapered", "tapered"},
                                                     {"press-in-tapered", "tapered"},
                                                     {"bell-mouthed", "bell-mouthed"},
                                                     {"worn-band", "worn-band"},
                                                     {"burred", "burr"},
                                                     {"stops-short", "shoulder-not-reached"},
                                                     {"overdriven", "over-driven"}};
    return kinds;
}

const std::vector<SimulatedRig>& simulated_rigs() {
    static const std::vector<SimulatedRig> rigs = {{"usual", 80, 0.8, true, 1},
                                                   {"noisy", 80, 6, true, 1},
                                                   {"slow cell", 20, 2, true, 1},
                                                   {"caliper only", 80, 0.8, false, 1},
                                                   {"softer than thought", 80, 2, true, 0.85}};
    return rigs;
}

RateTable measure_rates(const std::vector<SimulatedKind>& kinds, const std::vector<SimulatedRig>& rigs,
                        std::uint64_t first_seed, int seeds, std::vector<std::string>* wrong) {
    RateTable rates;
    for (const auto& finding : review::make_all_findings()) rates[std::string(finding->info().id)];
    for (const SimulatedRig& rig : rigs) {
        const SetUp out = frozen(example("job"), rig_text(rig)),
                    in = frozen(example("job-in"), rig_text(rig));
        const auto ports = ports_of(rig);
        for (const SimulatedKind& kind : kinds)
            for (int i = 0; i < seeds; ++i) {
                const std::uint64_t seed = first_seed + static_cast<std::uint64_t>(i);
                practice::Wishes wishes;
                if (rig.stiffness_is != 1) wishes.stiffness_N_per_mm = 20000 * rig.stiffness_is;
                // Fits and frictions about as far apart as the set-up's own doubt leaves them.
                practice::Random draw(seed, "fit");
                wishes.grip_N = draw.between(3900, 5800);
                wishes.friction = draw.between(0.1, 0.2);
                // Every third hand is a slow one.
                if (seed % 3 == 0) wishes.brisk = 0.5;
                const PracticeJob job = practise(kind.scenario, seed, ports, {}, wishes);
                const SetUp& set_up = job.scenario.seat.work == Work::in ? in : out;
                Judge judge(set_up);
                std::vector<Sample> samples;
                judge.set_sample_sink([&](const Sample& sample) { samples.push_back(sample); });
                for (const Event& event : events_from_json_lines(job.log, set_up, "practice.jsonl"))
                    judge.on(event);
                const Judgement judgement = judge.judgement();
                const review::Evidence e = review::evidence_of(samples, set_up, judgement);
                const review::Findings findings = review::look_for_findings(e);
                std::string said;
                for (auto& [id, r] : rates) {
                    const auto has = [&](const std::vector<review::Found>& list) {
                        return std::any_of(list.begin(), list.end(),
                                           [&](const review::Found& f) { return f.info.id == id; });
                    };
                    const bool yes = has(findings.found), open = has(findings.open),
                               true_one = id == kind.finding;
                    if (true_one)
                        r.with += 1, r.missed += !yes, r.open_with += open;
                    else
                        r.without += 1, r.false_alarms += yes, r.open_without += open;
                    if (true_one != yes) said += (true_one ? " MISSED " : " FALSE ") + id;
                }
                if (wrong == nullptr || said.empty()) continue;
                for (const review::Found& f : findings.found)
                    said += "\n      " + std::string(f.info.id) + " " +
                            std::to_string(f.answer.times_threshold) + ": " + f.answer.says;
                for (const review::Found& f : findings.open)
                    if (f.info.id == kind.finding)
                        said += "\n      open " + std::string(f.info.id) + ": " + f.answer.says;
                if (set_up.work == Work::out)
                    said += "\n      release " + number_text(e.release_N) +
                            (e.released ? "" : " (not loose)") + " slide " + number_text(e.slide.first_N) +
                            " knee " + (e.wind_up.knee_seen ? number_text(e.wind_up.knee_N) : "none") +
                            " slope after " + number_text(e.wind_up.slope_after) + " wind-up " +
                            number_text(e.wind_up.way_mm) + " more " +
                            number_text(e.wind_up.more_than_stretch_mm) + " climbs " +
                            number_text(e.climbs_to_N) + " teeth " + number_text(e.teeth.count);
                said += "\n      " + e.profile.says + " ripple " + number_text(e.profile.ripple.share) +
                        " +- " + number_text(e.profile.ripple.u_share) + " beside " +
                        number_text(e.profile.ripple.beside);
                wrong->push_back(std::string(kind.scenario) + " / " + rig.name + " seed " +
                                 std::to_string(seed) + ":" + said);
            }
    }
    return rates;
}

std::string rate_csv(const RateTable& rates) {
    std::string text =
        "# Rates of the findings over simulated jobs; tests/review/rates_test.cpp [long] makes this table "
        "anew and compares.\n"
        "finding,without,false_alarms,open_without,with,missed,open_with\n";
    for (const auto& [id, r] : rates) {
        text += id;
        for (const int n : {r.without, r.false_alarms, r.open_without, r.with, r.missed, r.open_with})
            text += "," + std::to_string(n);
        text += "\n";
    }
    return text;
}

}  // namespace halfturn::test
