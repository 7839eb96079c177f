#include "review/fit_backwards.hpp"

#include <algorithm>
#include <cmath>

#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "curve/doubt.hpp"
#include "files/json_value.hpp"
#include "watch/rule.hpp"

namespace halfturn::review {
namespace {

constexpr int frictions = 61, interferences = 81;
constexpr double other_doubt = 0.04;
constexpr double job_to_job = 0.08;

Band band_from(const JsonValue& json) {
    return {json.at("low").number(), json.at("mid").number(), json.at("high").number()};
}

// Quantiles of weights on rising values, the weight of each spread half way to its neighbours.
Band quantiles(const std::vector<double>& values, const std::vector<double>& weights) {
    double all = 0;
    for (const double w : weights) all += w;
    const auto at = [&](double share) {
        double sum = 0;
        for (std::size_t i = 0; i < values.size(); ++i) {
            if (sum + weights[i] >= share * all && weights[i] > 0) {
                const double left = i > 0 ? 0.5 * (values[i - 1] + values[i]) : values[i];
                const double right = i + 1 < values.size() ? 0.5 * (values[i] + values[i + 1]) : values[i];
                return left + (right - left) * (share * all - sum) / weights[i];
            }
            sum += weights[i];
        }
        return values.back();
    };
    return {at(0.025), at(0.5), at(0.975)};
}

double bell(double z) { return std::exp(-0.5 * z * z); }

std::string micrometres(const Band& band) {
    return fixed_text(band.mid, 1) + " µm (" + fixed_text(band.low, 1) + " to " + fixed_text(band.high, 1) +
           ")";
}

}  // namespace

std::optional<FrozenGrip> frozen_grip(const SetUp& set_up, Knowing knowing) {
    if (set_up.expectation_json.empty()) return {};
    try {
        const JsonValue json = JsonValue::parse(set_up.expectation_json, "expectation");
        const JsonValue* grip = json.find("grip");
        if (grip == nullptr) return {};
        FrozenGrip out;
        for (const JsonValue& v : grip->at("friction").items()) out.friction.push_back(v.number());
        for (const JsonValue& v : grip->at("N_per_um").items()) out.N_per_um.push_back(v.number());
        out.relative_u = grip->at("relative_u").number();
        out.friction_band = band_from(grip->at("friction_band"));
        out.over_sliding = band_from(grip->at("over_sliding"));
        out.interference_um = band_from(json.at("interference_um"));
        if (const JsonValue* family = json.find("family")) {
            const JsonValue& known = family->at(knowing == Knowing::all ? "posterior" : "prior");
            out.interference_um = band_from(known.at("interference_um"));
            out.friction_band = band_from(known.at("friction"));
        }
        if (out.friction.size() < 2 || out.friction.size() != out.N_per_um.size()) return {};
        return out;
    } catch (const BadInput&) {
        return {};  // a set-up from another program's day is reviewed as far as it can be read
    }
}

FitBackwards fit_backwards(const FrozenGrip& grip, double force_N, double relative_u) {
    FitBackwards out;
    if (force_N <= 0) {
        out.why_not = "no force was read";
        return out;
    }
    out.known = true;
    out.force_N = force_N;
    out.force_rel_u = relative_u;
    out.interference_before_um = grip.interference_um;
    out.friction_before = grip.friction_band;
    const Band& before = grip.interference_um;
    const double s_um = std::max(0.1, (before.high - before.low) / (2 * curve::z_975));
    const double s_mu =
        std::max(0.01, std::log(grip.friction_band.high / grip.friction_band.low) / (2 * curve::z_975));
    std::vector<double> um, mu, by_um(interferences, 0), by_mu(frictions, 0);
    // From wherever the prior or the force itself lies.
    const double needed_um = force_N / grip.at(grip.friction_band.mid);
    const double low = std::max(0.05, std::min(before.mid - 4 * s_um, 0.3 * needed_um)),
                 high = std::max(
                     {before.mid + 4 * s_um, low + 1, std::min(2 * needed_um, before.mid + 6 * s_um)});
    for (int i = 0; i < interferences; ++i) um.push_back(low + (high - low) * i / (interferences - 1));
    for (int i = 0; i < frictions; ++i)
        mu.push_back(grip.friction_band.mid * std::exp(s_mu * 4 * (2.0 * i / (frictions - 1) - 1)));
    double looser = 0, all = 0, below = 0, prior_all = 0;
    for (std::size_t i = 0; i < um.size(); ++i)
        for (std::size_t j = 0; j < mu.size(); ++j) {
            const double prior =
                bell((um[i] - before.mid) / s_um) * bell(std::log(mu[j] / grip.friction_band.mid) / s_mu);
            const double expected_N = um[i] * grip.at(mu[j]);
            const double weight = prior * bell(std::log(force_N / expected_N) / relative_u);
            by_um[i] += weight;
            by_mu[j] += weight;
            all += weight;
            if (um[i] < 1) looser += weight;
            prior_all += prior;
            if (expected_N < force_N) below += prior;
        }
    if (!(all > 1e-250)) {
        out.known = false;
        out.why_not = "the force lies outside everything this fit and friction could give";
        return out;
    }
    out.interference_um = quantiles(um, by_um);
    out.friction = quantiles(mu, by_mu);
    out.loose_probability = looser / all;
    out.place_in_band = below / prior_all;
    return out;
}

FitBackwards fit_backwards(const Evidence& e) {
    FitBackwards out;
    const auto grip = frozen_grip(e.set_up);
    if (!grip) {
        out.why_not = "this job's set-up was frozen before the seat's grip was kept with it";
        return out;
    }
    const bool pulled = e.set_up.work == Work::out;
    if (pulled && !e.released) {
        out.why_not = "the ring did not break loose";
        return out;
    }
    const double force_N = pulled ? 0.5 * (e.release_N + e.release_bound_N) : e.slide.first_N;
    if (force_N <= 0) {
        out.why_not = "no sliding force was seen";
        return out;
    }
    const double by_reading =
        pulled ? (e.release_bound_N - e.release_N) / std::sqrt(12.0) : e.slide.scatter_N;
    const double relative = std::sqrt(std::pow(std::hypot(by_reading, e.trace.force_noise_N) / force_N, 2) +
                                      grip->relative_u * grip->relative_u + other_doubt * other_doubt);
    out = fit_backwards(*grip, force_N, relative);
    if (pulled && e.slide.first_N > 0) {
        out.over_sliding = force_N / e.slide.first_N;
        const double u_slide = std::max(e.slide.scatter_N, 0.02 * e.slide.first_N) / e.slide.first_N;
        out.over_sliding_u =
            *out.over_sliding * std::hypot(std::hypot(by_reading, e.trace.force_noise_N) / force_N, u_slide);
    }
    if (!out.known) return out;
    const double share = 100 * out.place_in_band;
    out.says = newtons(force_N) + " speaks for an interference of " + micrometres(out.interference_um) +
               " and a friction of " + fixed_text(out.friction.mid, 2) + " (" +
               fixed_text(out.friction.low, 2) + " to " + fixed_text(out.friction.high, 2) +
               "). Before the job: " + micrometres(out.interference_before_um) +
               " by the sizes or the class given. " +
               (share < 2.5    ? "That is below what such a seat should need."
                : share > 97.5 ? "That is above what such a seat should need."
                               : "Of such seats, " + fixed_text(share, 0) + " in 100 need less.");
    return out;
}

GripHistory grip_history(std::vector<EarlierPull> pulls) {
    GripHistory out;
    out.pulls = std::move(pulls);
    if (out.pulls.empty()) return out;
    // Only jobs of the newest one's kind: pressing in has another friction than pulling out.
    std::vector<double> y;
    const Work work = out.pulls.back().work;
    for (const EarlierPull& p : out.pulls)
        if (p.work == work && p.force_N > 0 && p.expected_N > 0)
            y.push_back(std::log(p.force_N / p.expected_N));
    if (y.size() < 2) return out;
    const double n = static_cast<double>(y.size()), mean_x = (n - 1) / 2;
    double xx = 0, xy = 0, mean_y = 0;
    for (const double v : y) mean_y += v / n;
    for (std::size_t i = 0; i < y.size(); ++i) {
        const double x = static_cast<double>(i) - mean_x;
        xx += x * x;
        xy += x * (y[i] - mean_y);
    }
    const double slope = xy / xx, u = job_to_job / std::sqrt(xx);
    out.lost_share_per_pull = 1 - std::exp(slope);
    out.u_lost = u * std::exp(slope);
    double mid_um = 0;
    for (const EarlierPull& p : out.pulls)
        if (p.work == work && p.interference_um.mid > 0) mid_um = p.interference_um.mid;
    out.lost_um_per_pull = out.lost_share_per_pull * mid_um;
    out.known = y.size() >= 3 || std::fabs(slope) > 2 * u;
    const std::string numbers = fixed_text(100 * std::fabs(out.lost_share_per_pull), 0) + " % (± " +
                                fixed_text(100 * curve::z_975 * out.u_lost, 0) + " %)";
    if (!out.known)
        out.says =
            "Two jobs on this seat; their forces differ by no more than friction does from job to job.";
    else if (std::fabs(slope) < curve::z_975 * u)
        out.says = "Over " + std::to_string(y.size()) + " jobs this seat has kept its grip: a change of " +
                   numbers + " a job is within doubt.";
    else
        out.says = "Over " + std::to_string(y.size()) + " jobs this seat has " +
                   (slope < 0 ? "lost " : "gained ") + numbers + " of its grip a job, about " +
                   fixed_text(std::fabs(out.lost_um_per_pull), 1) + " µm.";
    return out;
}

}  // namespace halfturn::review
