// How fast a band and a refit are, the band against plain Monte Carlo: as many sorted draws as make its edges as sure.
#include <algorithm>
#include <cmath>
#include <random>

#include "bench/bench.hpp"
#include "curve/band.hpp"
#include "curve/draws.hpp"
#include "curve/expectation.hpp"

namespace halfturn::bench {
namespace {

JobFile usual_job() {
    JobFile job;
    job.file = "job.toml";
    job.bearing.designation = "61902-2RS";
    job.seat_fit.tolerance_class = "P7";
    job.housing.material = "6061-T6";
    job.housing.outside_diameter_mm = 36.4;
    job.housing.shape = HousingShape::shoulder_behind;
    job.condition.surface = Surface::dry;
    job.access = Access::past_spacer;
    return job;
}

RigFile usual_rig() {
    RigFile rig;
    rig.screw.thread = "M8";
    rig.press.stiffness_N_per_mm = 18000;
    return rig;
}

double million_sorted_normals_ms() {
    std::vector<double> rounds_ms;
    for (unsigned round = 0; round < 5; ++round)
        rounds_ms.push_back(milliseconds([&] {
            std::mt19937 gen(round);
            std::normal_distribution<double> normal;
            std::vector<double> draws(1'000'000);
            for (auto& draw : draws) draw = normal(gen);
            std::sort(draws.begin(), draws.end());
            keep(draws[500'000]);
        }));
    return quantile(rounds_ms, 0.5);
}

// The spread of an edge over seeds, in percent of the edge.
struct Edge {
    double sum = 0, squares = 0;
    int count = 0;
    void take(double value_N) { sum += value_N, squares += value_N * value_N, ++count; }
    double spread_percent() const {
        const double mean = sum / count;
        return 100 * std::sqrt(std::max(0.0, squares / count / mean / mean - 1));
    }
};

}  // namespace

void measure_curve(Figures& figures) {
    const auto job = usual_job();
    const auto rig = usual_rig();
    const auto facts = curve::facts_from(job, &rig);

    const double plain_ms = million_sorted_normals_ms();
    std::vector<double> band_ms;
    Edge low, high;
    for (std::uint64_t seed = 1; seed <= 40; ++seed) {
        Band band;
        band_ms.push_back(milliseconds([&] {
            auto forces_N = curve::break_loose_forces_N(facts, curve::draw_grips(facts, 1u << 14, seed), 8);
            band = curve::band_of(forces_N);
        }));
        low.take(band.low), high.take(band.high);
    }
    const double one_band_ms = quantile(band_ms, 0.5);
    figures.add({"a band's time, of a million sorted normal draws", Goal::at_most, 1.0 / 20, one_band_ms / plain_ms, "x",
                 shown(one_band_ms, "ms"), shown(plain_ms, "ms"), "2^14 low-discrepancy draws, each with 8 frictions"});
    figures.add({"its low edge's replicate error", Goal::at_most, 0.5, low.spread_percent(), "%",
                 shown(low.spread_percent(), "%"), "", "standard deviation over 40 seeds"});
    figures.add({"its high edge's replicate error", Goal::at_most, 0.15, high.spread_percent(), "%",
                 shown(high.spread_percent(), "%"), "", "standard deviation over 40 seeds"});

    std::vector<double> refit_ms;
    for (std::uint64_t seed = 1; seed <= 300; ++seed)
        refit_ms.push_back(milliseconds(
            [&] { keep(curve::expect(curve::facts_from(job, &rig, fit::StiffnessMethod::correction), seed).curve.size()); }));
    figures.add({"a refit after any change of the job, p99", Goal::at_most, 20, quantile(refit_ms, 0.99), "ms",
                 shown(quantile(refit_ms, 0.5), "ms at the median"), "", "facts, band, curve and advice anew, 300 times"});

    std::vector<double> section_ms;
    for (int round = 0; round < 20; ++round)
        section_ms.push_back(
            milliseconds([&] { keep(curve::facts_from(job, &rig, fit::StiffnessMethod::section)); }));
    figures.add({"the section solution of one seat, p95", Goal::at_most, 300, quantile(section_ms, 0.95), "ms",
                 shown(quantile(section_ms, 0.5), "ms at the median"), "", "finite elements of ring and housing"});
}

}  // namespace halfturn::bench
