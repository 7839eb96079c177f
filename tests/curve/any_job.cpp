// Whatever a job file may say, the expectation is either refused with a reason or finite and in order.
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "core/failure.hpp"
#include "curve/expectation.hpp"
#include "fit/bearings.hpp"
#include "fit/iso286.hpp"
#include "fit/materials.hpp"
#include "fit/threads.hpp"

using namespace halfturn;
using namespace halfturn::curve;

namespace {

class Chooser {
public:
    explicit Chooser(unsigned seed) : gen_(seed) {}
    double number(double low, double high) { return std::uniform_real_distribution<double>(low, high)(gen_); }
    std::size_t below(std::size_t n) { return std::uniform_int_distribution<std::size_t>(0, n - 1)(gen_); }
    bool chance(double p) { return number(0, 1) < p; }
    std::string one_of(const std::vector<std::string>& words) { return words[below(words.size())]; }

private:
    std::mt19937 gen_;
};

JobFile some_job(Chooser& choose) {
    JobFile job;
    job.file = "job.toml";
    job.work = choose.chance(0.5) ? Work::out : Work::in;
    job.access = choose.chance(0.5) ? Access::through : Access::past_spacer;
    double D = 28;
    if (choose.chance(0.6)) {
        job.bearing.designation = choose.one_of(fit::bearing_designations());
        D = fit::find_bearing(job.bearing.designation).D_mm;
    } else {
        D = choose.number(8, 130);
        job.bearing.D_mm = D;
        job.bearing.d_mm = D * choose.number(0.2, 0.9);
        job.bearing.B_mm = D * choose.number(0.05, 0.6);
    }
    if (choose.chance(0.5)) job.bearing.sealed = choose.chance(0.5);
    if (choose.chance(0.3)) job.bearing.clearance = choose.one_of({"C2", "CN", "C3"});
    if (choose.chance(0.4)) job.seat_fit.tolerance_class = choose.one_of(fit::hole_classes());
    if (choose.chance(0.4)) job.seat_fit.bore_mm = D + choose.number(-0.35, 0.1);
    if (choose.chance(0.4)) job.seat_fit.bore_u_um = choose.number(0, 20);
    if (choose.chance(0.3)) job.seat_fit.outside_mm = D + choose.number(-0.02, 0.02);
    if (choose.chance(0.7)) job.housing.material = choose.one_of(fit::material_names());
    if (choose.chance(0.7)) job.housing.outside_diameter_mm = D * choose.number(0.98, 4);
    job.housing.shape = static_cast<HousingShape>(choose.below(7));
    if (choose.chance(0.2)) job.housing.temperature_C = choose.number(-60, 300);
    if (choose.chance(0.15))
        job.housing.section = {{-choose.number(0, 3), 20, D, D * choose.number(1.1, 2)},
                               {20, 40, D * choose.number(0.5, 1), D * 1.5}};
    job.condition.surface = static_cast<Surface>(choose.below(5));
    if (choose.chance(0.2)) job.condition.friction = choose.number(0.01, 1);
    if (choose.chance(0.5)) job.drift.reach_mm = choose.number(0, 60);
    return job;
}

RigFile some_rig(Chooser& choose) {
    RigFile rig;
    if (choose.chance(0.8)) rig.screw.thread = choose.one_of(fit::thread_names());
    if (choose.chance(0.5)) rig.screw.property_class = "8.8";
    if (choose.chance(0.6))
        rig.press.stiffness_N_per_mm = std::exp(choose.number(std::log(100.0), std::log(1e6)));
    if (choose.chance(0.5)) rig.press.stiffness_u = choose.number(0, 1e5);
    if (choose.chance(0.6)) rig.press.force_limit_N = std::exp(choose.number(0, 16));
    rig.channels.resize(2);
    rig.channels[0].measures = Measure::force;
    rig.channels[0].readings_per_s = choose.chance(0.7) ? choose.number(0.1, 1000) : 0;
    rig.channels[1].measures = Measure::turns;
    rig.channels[1].readings_per_s = choose.chance(0.7) ? choose.number(0.1, 1000) : 0;
    return rig;
}

bool ordered(const Band& band) {
    return std::isfinite(band.low) && std::isfinite(band.high) && band.low <= band.mid &&
           band.mid <= band.high;
}

}  // namespace

TEST_CASE("Any job gives finite, ordered numbers or a reason") {
    int expected = 0;
    for (unsigned seed = 1; seed <= 300; ++seed) {
        Chooser choose(seed);
        const JobFile job = some_job(choose);
        const RigFile rig = some_rig(choose);
        INFO("seed " << seed << ", D " << job.bearing.D_mm.value_or(0) << " d " << job.bearing.d_mm.value_or(0) << " B " << job.bearing.B_mm.value_or(0) << " " << job.bearing.designation);
        try {
            const auto facts = facts_from(job, &rig, fit::StiffnessMethod::correction);
            const auto e = expect(facts, seed);
            ++expected;
            for (const Band& band : {e.interference_um, e.pressure_MPa, e.break_loose_N, e.sliding_N,
                                     e.break_loose_turns, e.end_turns, e.stiffness_N_per_mm})
                CHECK(ordered(band));
            CHECK(e.break_loose_N.low >= 0);
            CHECK(e.stiffness_N_per_mm.low > 0);
            CHECK(e.loose_probability >= 0);
            CHECK(e.loose_probability <= 1);
            CHECK(e.seat_length_mm > 0);
            CHECK_FALSE(e.widest_input.empty());
            double before = -1;
            for (const auto& point : e.curve) {
                INFO(point.turns << " turns");
                CHECK((ordered({point.low_N, point.mid_N, point.high_N}) && point.low_N >= 0 &&
                       point.turns > before));
                before = point.turns;
            }
            CHECK(e.curve.empty() == !facts.pitch_mm.has_value());
            if (e.limit_turns) CHECK(ordered(*e.limit_turns));
            CHECK(expectation_json(e).find("null,\"high\"") == std::string::npos);
            CHECK(expectation_text(e, facts).size() > 500);
        } catch (const BadInput& refused) {
            CHECK(std::string(refused.what()).find("job.toml: ") == 0);
            CHECK(std::string(refused.what()).size() > 40);
        }
    }
    CHECK(expected > 100);
}
