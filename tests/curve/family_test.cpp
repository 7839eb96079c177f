// Learning a family, against closed forms, outliers and simulated families.
#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <random>

#include "curve/expectation.hpp"
#include "curve/family.hpp"

using namespace halfturn;
using namespace halfturn::curve;

namespace {


// F = 250 mu delta, with no doubt of its own.
GripTable linear_grip(double s_mu) {
    GripTable grip;
    for (int i = 0; i <= 24; ++i) {
        grip.friction.push_back(0.02 * (i + 1));
        grip.N_per_um.push_back(250 * grip.friction.back());
    }
    grip.friction_band = {0.15 * std::exp(-z_975 * s_mu), 0.15, 0.15 * std::exp(z_975 * s_mu)};
    return grip;
}

Band around(double mid, double sd) { return {mid - z_975 * sd, mid, mid + z_975 * sd}; }

PastPull pull(const GripTable& grip, const Band& interference_um, double ln_off, double relative_u) {
    PastPull past;
    past.grip = grip;
    past.interference_um = interference_um;
    past.force_N = interference_um.mid * grip.at(grip.friction_band.mid) * std::exp(ln_off);
    past.relative_u = relative_u;
    return past;
}

LearningOptions gaussian(double own_share) {
    LearningOptions options;
    options.bad_share = 0;
    options.own_share = own_share;
    options.least_own_u = 0;
    return options;
}

// What the next seat is expected to need, from a plain grid of its prior: quantiles of ln F beside the middle.
struct Forecast {
    double low, mid, high;
};
Forecast forecast(const Learned& learned, double middle_um, double s_um, double s_m) {
    std::vector<std::pair<double, double>> weighed;
    double all = 0;
    for (int i = -40; i <= 40; ++i)
        for (int j = -40; j <= 40; ++j) {
            const double x = 0.09 * i * s_um, m = 0.09 * j * s_m;
            const double weight = std::exp(-0.5 * 0.0081 * (i * i + j * j)) * learned.weight(x, m);
            weighed.emplace_back(std::log(std::max(0.05, middle_um + x) / middle_um) + m, weight);
            all += weight;
        }
    std::sort(weighed.begin(), weighed.end());
    const auto at = [&](double share) {
        double sum = 0;
        for (const auto& [value, weight] : weighed)
            if ((sum += weight) >= share * all) return value;
        return weighed.back().first;
    };
    return {at(0.025), at(0.5), at(0.975)};
}

}  // namespace

TEST_CASE("no jobs: the prior exactly") {
    const GripTable grip = linear_grip(0.3);
    const Learned learned = learn(grip, around(15, 4), {});
    for (const double x : {-20.0, -3.0, 0.0, 7.5, 20.0})
        for (const double m : {-1.5, -0.1, 0.0, 0.4, 1.5}) CHECK(learned.weight(x, m) == 1.0);
}

TEST_CASE("a known interference and Gaussian errors: the conjugate normal answer") {
    // Gelman et al., Bayesian Data Analysis, 2.5: prior N(0, v0), n observations of variance v about m:
    // posterior N((sum y/v)/(1/v0 + n/v), 1/(1/v0 + n/v)); the next one's variance is that plus its own.
    const double s = 0.3;
    const GripTable grip = linear_grip(s);
    const Band known{15, 15, 15};
    for (const double own_share : {0.1, 0.35})
        for (const double u : {0.02, 0.15})
            for (const std::size_t n : {1u, 4u, 12u}) {
                const std::vector<double> offs{0.31, 0.12, 0.25, 0.07, -0.1, 0.22, 0.4, 0.18, 0.05, 0.33, 0.2, 0.11};
                std::vector<PastPull> pulls;
                double sum = 0;
                for (std::size_t i = 0; i < n; ++i) pulls.push_back(pull(grip, known, offs[i], u)), sum += offs[i];
                const Learned learned = learn(grip, known, pulls, gaussian(own_share));
                const double v0 = (1 - own_share) * s * s, own = own_share * s * s, v = own + u * u;
                const double precision = 1 / v0 + static_cast<double>(n) / v;
                INFO("own share " << own_share << ", u " << u << ", n " << n);
                CHECK(learned.mean_ln_friction() == Approx(sum / v / precision).margin(0.02 * s));
                CHECK(learned.sd_ln_friction() == Approx(std::sqrt(1 / precision + own)).margin(0.02 * s));
            }
}

TEST_CASE("friction and interference share what a force says in proportion to their variances") {
    // ln F = ln delta + ln mu + error, linear where the interference's own spread is small: the same textbook's normal
    // model in two unknowns, of which only the sum is seen.
    const double s_m = 0.2, middle_um = 20, s_um = 1.2, u = 0.05, r = 0.2, y = 0.15;
    const GripTable grip = linear_grip(s_m);
    const Band band = around(middle_um, s_um);
    const Learned learned = learn(grip, band, std::vector<PastPull>(6, pull(grip, band, y, u)), gaussian(r));
    const double s_x = s_um / middle_um, family = (1 - r) * (s_m * s_m + s_x * s_x), own = r * (s_m * s_m + s_x * s_x);
    const double gain = family / (family + (own + u * u) / 6);
    CHECK(learned.mean_ln_friction() == Approx(gain * y * s_m * s_m / (s_m * s_m + s_x * s_x)).margin(0.005));
    const Forecast next = forecast(learned, middle_um, s_um, s_m);
    CHECK(next.mid == Approx(gain * y).margin(0.01));
    CHECK((next.high - next.low) / 2 == Approx(z_975 * std::sqrt(family * (1 - gain) + own)).epsilon(0.05));
}

TEST_CASE("one bad job barely moves what nine good ones say") {
    const GripTable grip = linear_grip(0.32);
    const Band band = around(15, 4);
    std::vector<PastPull> good;
    for (const double off : {0.1, 0.02, 0.17, 0.12, 0.06, 0.2, 0.08, 0.11, 0.04}) good.push_back(pull(grip, band, off, 0.03));
    std::vector<PastPull> all = good;
    all.push_back(pull(grip, band, std::log(6.0), 0.03));
    const Forecast without = forecast(learn(grip, band, good), 15, 4, 0.32), with = forecast(learn(grip, band, all), 15, 4, 0.32);
    CHECK(without.mid == Approx(0.1).margin(0.04));
    CHECK(with.mid == Approx(without.mid).margin(0.02));
    CHECK(with.high - with.low < 1.25 * (without.high - without.low));
    // A Gaussian would have been dragged along.
    LearningOptions drags;
    drags.bad_share = 0;
    const Forecast dragged = forecast(learn(grip, band, all, drags), 15, 4, 0.32);
    CHECK(dragged.high - dragged.low > 2 * (with.high - with.low));
}

TEST_CASE("never narrower than the instruments allow") {
    const GripTable grip = linear_grip(0.32);
    for (const double least : {0.04, 0.1}) {
        LearningOptions options;
        options.least_own_u = least;
        const Band band = around(15, 4);
        const Forecast next = forecast(learn(grip, band, std::vector<PastPull>(150, pull(grip, band, 0.05, 0.01)), options), 15, 4, 0.32);
        CHECK((next.high - next.low) / 2 >= 0.97 * z_975 * least);
        CHECK((next.high - next.low) / 2 < 3.2 * least + 0.05);  // and not much wider
    }
    // A prior already narrower than that is left as it is.
    const GripTable sure = linear_grip(0.02);
    const Band known{15, 15, 15};
    CHECK(learn(sure, known, std::vector<PastPull>(50, pull(sure, known, 0.03, 0.01))).sd_ln_friction() == Approx(0.02).epsilon(0.01));
}

TEST_CASE("a seat pulled before tells of more than it has left") {
    const GripTable grip = linear_grip(0.05);
    const Band band = around(15, 4);
    std::vector<PastPull> pulls(8, pull(grip, band, 0, 0.02));
    const Forecast fresh = forecast(learn(grip, band, pulls), 15, 4, 0.05);
    for (PastPull& past : pulls) past.seat_pulled_before = 4;  // 2 um lost, of 15
    const Forecast worn = forecast(learn(grip, band, pulls), 15, 4, 0.05);
    CHECK(worn.mid - fresh.mid == Approx(std::log(17.0 / 15)).margin(0.04));
    LearningOptions also_worn;
    also_worn.this_seat_pulled_before = 4;
    CHECK(forecast(learn(grip, band, pulls, also_worn), 15, 4, 0.05).mid == Approx(fresh.mid).margin(0.04));
}

TEST_CASE("of simulated families, the next seat lies within the band 95 times of 100") {
    std::mt19937_64 gen(17);
    std::normal_distribution<double> normal;
    const double s_m = 0.3, middle_um = 15, s_um = 3;
    const GripTable grip = linear_grip(s_m);
    const Band band = around(middle_um, s_um);
    int held = 0, narrower = 0;
    constexpr int families = 100;
    for (int i = 0; i < families; ++i) {
        const double share = std::vector{0.05, 0.2, 0.5}[static_cast<std::size_t>(i % 3)];
        const double x = normal(gen) * s_um * std::sqrt(1 - share), m = normal(gen) * s_m * std::sqrt(1 - share);
        const auto seat = [&] {
            const double um = std::max(0.2, middle_um + x + normal(gen) * s_um * std::sqrt(share));
            return std::log(um / middle_um) + m + normal(gen) * std::hypot(s_m * std::sqrt(share), 0.04);
        };
        std::vector<PastPull> pulls;
        for (int j = 0; j < 8; ++j) pulls.push_back(pull(grip, band, seat() + normal(gen) * 0.03, 0.03));
        const Forecast next = forecast(learn(grip, band, pulls), middle_um, s_um, s_m), prior = forecast({}, middle_um, s_um, s_m);
        const double needs = seat();
        held += next.low <= needs && needs <= next.high;
        narrower += next.high - next.low < prior.high - prior.low;
    }
    CHECK(held >= 90);  // 95 expected, standard deviation 2.2
    CHECK(narrower >= 90);
}

namespace {

SeatFacts class_seat() {
    JobFile job;
    job.file = "job.toml";
    job.bearing.designation = "61902-2RS";
    job.seat_fit.tolerance_class = "P7";
    job.housing.material = "6061-T6";
    job.housing.outside_diameter_mm = 36.4;
    job.housing.shape = HousingShape::shoulder_behind;
    job.condition.surface = Surface::dry;
    RigFile rig;
    rig.screw.thread = "M8";
    rig.press.stiffness_N_per_mm = 18000;
    ChannelSetUp force;
    force.readings_per_s = 80;
    force.least_count = 2;
    rig.channels = {force};
    return facts_from(job, &rig, fit::StiffnessMethod::correction);
}

FamilyJobs family_at(const Expectation& prior, std::initializer_list<double> forces_N) {
    FamilyJobs family;
    family.name = "61902 in 6061-T6, shoulder-behind shape, P7";
    for (const double force_N : forces_N) {
        PastPull past;
        past.number = ++family.jobs;
        past.force_N = force_N;
        past.relative_u = 0.03;
        past.grip = prior.grip;
        past.interference_um = prior.interference_um;
        family.pulls.push_back(past);
    }
    return family;
}

double half_width(const Band& band) { return (band.high - band.low) / 2; }

}  // namespace

TEST_CASE("an expectation learns: the whole of it moves to where the family's pulls are") {
    const SeatFacts facts = class_seat();
    const Expectation prior = expect(facts, 1);
    const double about_N = 0.7 * prior.break_loose_N.mid;
    const FamilyJobs family = family_at(prior, {about_N, 0.93 * about_N, 1.06 * about_N, 0.97 * about_N, 1.1 * about_N, 1.02 * about_N});
    const Expectation learned = expect(facts, 1, &family);
    REQUIRE(learned.family);
    CHECK(learned.family->used == 6);
    CHECK(learned.family->prior.break_loose_N == prior.break_loose_N);
    CHECK(learned.family->posterior.break_loose_N == learned.break_loose_N);
    CHECK(learned.break_loose_N.mid == Approx(about_N).epsilon(0.06));
    CHECK(half_width(learned.break_loose_N) < 0.5 * half_width(prior.break_loose_N));
    CHECK(learned.sliding_N.mid < prior.sliding_N.mid);
    CHECK(learned.break_loose_turns.high < prior.break_loose_turns.high);
    double most = 0, prior_most = 0;
    for (const CurvePoint& point : learned.curve) most = std::max(most, point.high_N);
    for (const CurvePoint& point : prior.curve) prior_most = std::max(prior_most, point.high_N);
    CHECK(most == Approx(learned.break_loose_N.high).epsilon(0.12));
    CHECK(most < prior_most);
    CHECK(learned.grip.friction_band == prior.grip.friction_band);  // as it was, for those who learn from this job
    // The same bits for the same jobs and seed; another seed differs by little.
    CHECK(expect(facts, 1, &family).break_loose_N == learned.break_loose_N);
    const Band other = expect(facts, 2, &family).break_loose_N;
    CHECK(other.low == Approx(learned.break_loose_N.low).epsilon(0.02));
    CHECK(other.high == Approx(learned.break_loose_N.high).epsilon(0.02));
}

TEST_CASE("an expectation with no job to learn from is the plain one, to the last bit; a bond learns nothing") {
    SeatFacts facts = class_seat();
    const FamilyJobs none = family_at(expect(facts, 1), {});
    Expectation learned = expect(facts, 1, &none);
    REQUIRE(learned.family);
    CHECK(learned.family->used == 0);
    learned.family.reset();
    CHECK(expectation_json(learned) == expectation_json(expect(facts, 1)));

    facts.bond_MPa = log_range(5, 35, {fit::Basis::from_memory, "test"});
    const Expectation bonded = expect(facts, 1);
    const FamilyJobs some = family_at(bonded, {900, 950});
    const Expectation still = expect(facts, 1, &some);
    CHECK(still.family->used == 0);
    REQUIRE(still.family->left_out.size() == 2);
    CHECK(still.family->left_out[1].because == "a bond's strength is not the fit's");
    CHECK(still.break_loose_N == bonded.break_loose_N);
}

TEST_CASE("however many jobs agree, the band stays as wide as force can be read") {
    const SeatFacts facts = class_seat();
    const Expectation prior = expect(facts, 1);
    FamilyJobs family = family_at(prior, {prior.break_loose_N.mid});
    family.pulls.resize(60, family.pulls.front());
    const Expectation learned = expect(facts, 1, &family);
    const double u = std::hypot(0.04, std::hypot(prior.force_step_N_at_fastest, 2.0) / std::sqrt(12.0) / prior.break_loose_N.mid);
    CHECK(u > 0.05);  // a sixth of the release between two readings, at the fastest
    CHECK(half_width(learned.break_loose_N) >= 0.95 * z_975 * u * learned.break_loose_N.mid);
    CHECK(half_width(learned.break_loose_N) < 0.3 * half_width(prior.break_loose_N));
}
