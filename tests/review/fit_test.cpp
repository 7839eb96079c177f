// The fit read backwards and a seat's history, against closed forms.
#include <catch2/catch.hpp>
#include <cmath>

#include "review/fit_backwards.hpp"

using namespace halfturn;
using namespace halfturn::review;

namespace {

FrozenGrip linear_grip() {
    FrozenGrip grip;
    for (int i = 0; i <= 20; ++i) {
        grip.friction.push_back(0.02 + 0.02 * i);
        grip.N_per_um.push_back(250 * grip.friction.back());
    }
    grip.friction_band = {0.08, 0.15, 0.28};
    grip.interference_um = {15, 20, 25};
    return grip;
}

}  // namespace

TEST_CASE("with friction known, the posterior is the product of two Gaussians") {
    FrozenGrip grip = linear_grip();
    grip.friction_band = {0.1499, 0.15, 0.1501};
    const double prior_sd = 5 / 1.96;
    for (const double delta : {17.0, 20.0, 24.0}) {
        const double relative = 0.03, force_N = 250 * 0.15 * delta;
        const FitBackwards fit = fit_backwards(grip, force_N, std::hypot(relative, 0.0));
        // Friction is held to no less than 1 %, which adds to the reading's doubt.
        const double sd = delta * std::hypot(relative, 0.01);
        const double weight = 1 / (sd * sd), prior = 1 / (prior_sd * prior_sd);
        const double mean = (weight * delta + prior * 20) / (weight + prior),
                     after = std::sqrt(1 / (weight + prior));
        REQUIRE(fit.known);
        CHECK(fit.interference_um.mid == Approx(mean).margin(0.06));
        CHECK((fit.interference_um.high - fit.interference_um.low) / 2 == Approx(1.96 * after).epsilon(0.06));
    }
}

TEST_CASE("in logarithms, friction and interference share what the force says by their doubts") {
    FrozenGrip grip = linear_grip();
    // ln F = ln 250 + ln mu + ln delta; with a narrow interference friction takes nearly all.
    grip.interference_um = {19.98, 20, 20.02};
    const double relative = 0.02, expected = 250 * 0.15 * 20;
    const FitBackwards fit = fit_backwards(grip, 1.3 * expected, relative);
    const double s_mu = std::log(0.28 / 0.08) / (2 * 1.96),
                 gain = s_mu * s_mu / (s_mu * s_mu + relative * relative);
    REQUIRE(fit.known);
    CHECK(std::log(fit.friction.mid / 0.15) == Approx(gain * std::log(1.3)).margin(0.01));
    CHECK(fit.place_in_band == Approx(0.5 * std::erfc(-std::log(1.3) / s_mu / std::sqrt(2.0))).margin(0.02));
    CHECK(fit.loose_probability == Approx(0).margin(1e-6));
}

TEST_CASE("a force far outside says so, and a low one speaks of a loose seat") {
    const FrozenGrip grip = linear_grip();
    CHECK(fit_backwards(grip, 0, 0.05).why_not == "no force was read");
    FrozenGrip loose = grip;
    loose.interference_um = {-4, 2, 8};
    const FitBackwards fit = fit_backwards(loose, 25, 0.05);
    REQUIRE(fit.known);
    CHECK(fit.loose_probability > 0.5);
    const FitBackwards heavy = fit_backwards(grip, 6000, 0.05);
    if (heavy.known)
        CHECK(heavy.place_in_band > 0.99);
    else
        CHECK_FALSE(heavy.why_not.empty());
}

TEST_CASE("interference lost per pull") {
    const auto pulls = [](std::initializer_list<double> forces) {
        std::vector<EarlierPull> list;
        for (const double f : forces) list.push_back({"j", "t", Work::out, f, 900, {15, 20, 25}});
        return list;
    };
    const GripHistory lost = grip_history(pulls({1000, 800, 640, 512}));
    CHECK(lost.known);
    CHECK(lost.lost_share_per_pull == Approx(0.2));
    CHECK(lost.u_lost == Approx(0.8 * 0.08 / std::sqrt(5.0)));
    CHECK(lost.lost_um_per_pull == Approx(4));
    CHECK_THAT(lost.says, Catch::Contains("lost 20 %"));
    CHECK_THAT(grip_history(pulls({1000, 970, 1020})).says, Catch::Contains("kept its grip"));
    CHECK_FALSE(grip_history(pulls({1000, 950})).known);
    CHECK(grip_history(pulls({1000})).says.empty());
    // Pressing in between does not count among pulls.
    auto mixed = pulls({1000, 800, 640});
    mixed.insert(mixed.begin() + 1, EarlierPull{"j", "t", Work::in, 300, 500, {}});
    CHECK(grip_history(mixed).lost_share_per_pull == Approx(0.2));
}
