#include "curve/family.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "curve/doubt.hpp"

namespace halfturn::curve {
namespace {

constexpr std::size_t x_steps = 81, m_steps = 121;  // odd, so that the middle is on the grid
constexpr double widest = 4;
constexpr double least_um = 0.05;  // where a seat hardly grips, ln F has no end
constexpr double lost_um = 0.5, u_lost_um = 0.5;
constexpr double bad_ln_F = 1;  // a job that was something else is off by a factor of e, more or less
constexpr std::array shares{0.02, 0.05, 0.1, 0.2, 0.35, 0.5, 0.7, 0.9};

// A product of many small factors, as its logarithm, with few calls of log.
class LogProduct {
public:
    void times(double factor) {
        product_ *= factor;
        if (product_ < 1e-100) sum_ += std::log(std::max(product_, 1e-300)), product_ = 1;
    }
    double value() const { return sum_ + std::log(product_); }

private:
    double product_ = 1, sum_ = 0;
};

std::vector<double> steps(double sd, std::size_t count) {
    if (!(sd > 0)) return {0};
    std::vector<double> out;
    for (std::size_t i = 0; i < count; ++i)
        out.push_back(sd * widest * (2 * static_cast<double>(i) / static_cast<double>(count - 1) - 1));
    return out;
}

// Normal weights on the steps, adding to one; all on the middle where the variance is nothing to the steps.
std::vector<double> normal_weights(const std::vector<double>& at, double centre, double variance) {
    std::vector<double> out(at.size(), 0);
    const double step = at.size() > 1 ? at[1] - at[0] : 0;
    double sum = 0;
    if (variance > 0.02 * step * step)
        for (std::size_t i = 0; i < at.size(); ++i) sum += out[i] = std::exp(-(at[i] - centre) * (at[i] - centre) / (2 * variance));
    if (!(sum > 0)) {
        const auto nearest = std::min_element(at.begin(), at.end(),
                                              [&](double a, double b) { return std::fabs(a - centre) < std::fabs(b - centre); });
        out.assign(at.size(), 0);
        out[static_cast<std::size_t>(nearest - at.begin())] = 1;
        return out;
    }
    for (double& w : out) w /= sum;
    return out;
}

struct Grid {
    std::vector<double> x, m;
    double s_x, s_m;
    std::size_t size() const { return x.size() * m.size(); }
};

// How the variances are split for one share r.
struct Split {
    double own_x, own_m, family_x, family_m;  // variances
};
Split split_of(const Grid& grid, double share, double least_own_u) {
    const double all_x = grid.s_x * grid.s_x, all_m = grid.s_m * grid.s_m;
    const double own_m = std::min(all_m, std::max(share * all_m, least_own_u * least_own_u));
    return {share * all_x, own_m, (1 - share) * all_x, all_m - own_m};
}

struct Pull {
    double ln_F, middle_um, u2, per_friction;  // per_friction: d ln F / d ln mu at the middle
    std::vector<double> ln_G;                  // at each m
};

Pull pull_on(const Grid& grid, const PastPull& past) {
    const double mu = past.grip.friction_band.mid, lost = past.seat_pulled_before;
    Pull out{std::log(past.force_N), past.interference_um.mid - lost * lost_um, past.relative_u * past.relative_u, 1, {}};
    // What repeated pulls took from the seat is not known either.
    const double u_um = std::sqrt(lost) * u_lost_um / std::max(1.0, out.middle_um);
    out.u2 += u_um * u_um;
    constexpr double aside = 1.05;
    out.per_friction = std::log(past.grip.at(mu * aside) / past.grip.at(mu / aside)) / (2 * std::log(aside));
    for (const double m : grid.m) out.ln_G.push_back(std::log(past.grip.at(mu * std::exp(m))));
    return out;
}

// The two kinds of error at one interference: weights with the densities' constants, and minus half their inverse variances.
struct Error {
    double ln_off, usual, usual_rate, bad, bad_rate;
    double density(double ln_G) const {
        const double off = ln_off - ln_G, off2 = off * off;
        return usual * std::exp(usual_rate * off2) + (bad > 0 ? bad * std::exp(bad_rate * off2) : 0);
    }
};

// Log likelihood of all pulls at each point of the grid, but for a constant.
std::vector<double> log_likelihood(const Grid& grid, const Split& split, const std::vector<Pull>& pulls, double bad_share) {
    std::vector<double> out(grid.size());
    std::vector<Error> errors(pulls.size());
    for (std::size_t i = 0; i < grid.x.size(); ++i) {
        for (std::size_t k = 0; k < pulls.size(); ++k) {
            const double um = std::max(least_um, pulls[k].middle_um + grid.x[i]), own_um = std::max(1.0, um), per = pulls[k].per_friction;
            const double v = pulls[k].u2 + split.own_x / (own_um * own_um) + split.own_m * per * per, bad_v = v + bad_ln_F * bad_ln_F;
            errors[k] = {pulls[k].ln_F - std::log(um), (1 - bad_share) / std::sqrt(v), -0.5 / v, bad_share / std::sqrt(bad_v),
                         -0.5 / bad_v};
        }
        for (std::size_t j = 0; j < grid.m.size(); ++j) {
            LogProduct all;
            for (std::size_t k = 0; k < pulls.size(); ++k) all.times(errors[k].density(pulls[k].ln_G[j]));
            out[i * grid.m.size() + j] = all.value();
        }
    }
    return out;
}

// Widened by the own parts: rows, then columns, then the grid is whole again.
std::vector<double> widened(const Grid& grid, const std::vector<double>& density, const Split& split) {
    const std::size_t nx = grid.x.size(), nm = grid.m.size();
    std::vector<double> rows(density.size(), 0), out(density.size(), 0);
    // A kernel that only depends on the distance; the weights of the middle place, shifted.
    const auto kernel = [](const std::vector<double>& at, double variance) { return normal_weights(at, at[at.size() / 2], variance); };
    const auto along = [](std::size_t count, const std::vector<double>& k, auto&& from, auto&& to) {
        const std::size_t middle = count / 2;
        for (std::size_t i = 0; i < count; ++i) {
            const double value = from(i);
            if (value < 1e-300) continue;
            for (std::size_t j = 0; j < count; ++j) {
                const std::size_t place = j + middle - i;  // wraps far beyond count when negative
                if (place < count) to(j) += value * k[place];
            }
        }
    };
    const auto kx = kernel(grid.x, split.own_x), km = kernel(grid.m, split.own_m);
    for (std::size_t i = 0; i < nx; ++i)
        along(nm, km, [&](std::size_t j) { return density[i * nm + j]; }, [&](std::size_t j) -> double& { return rows[i * nm + j]; });
    for (std::size_t j = 0; j < nm; ++j)
        along(nx, kx, [&](std::size_t i) { return rows[i * nm + j]; }, [&](std::size_t i) -> double& { return out[i * nm + j]; });
    return out;
}

std::size_t cell_of(const std::vector<double>& at, double value, double& within) {
    within = 0;
    if (at.size() < 2 || value <= at.front()) return 0;
    const double place = (value - at.front()) / (at[1] - at[0]);
    const auto cell = static_cast<std::size_t>(place);
    if (cell + 1 >= at.size()) {
        within = 1;
        return at.size() - 2;
    }
    within = place - static_cast<double>(cell);
    return cell;
}

}  // namespace

double Learned::weight(double offset_um, double ln_friction) const {
    if (weight_.empty()) return 1;
    double u = 0, v = 0;
    const std::size_t i = cell_of(x_, offset_um, u), j = cell_of(m_, ln_friction, v), columns = m_.size();
    const std::size_t down = x_.size() > 1 ? columns : 0, right = columns > 1 ? 1 : 0;
    const double* at = &weight_[i * columns + j];
    return (1 - u) * ((1 - v) * at[0] + v * at[right]) + u * ((1 - v) * at[down] + v * at[down + right]);
}

Learned learn(const GripTable& grip, const Band& interference_um, const std::vector<PastPull>& pulls, const LearningOptions& options) {
    Learned out;
    const double s_mu = std::log(grip.friction_band.high / grip.friction_band.low) / (2 * z_975);
    Grid grid{{}, {}, (interference_um.high - interference_um.low) / (2 * z_975), std::hypot(s_mu, grip.relative_u)};
    grid.x = steps(grid.s_x, x_steps);
    grid.m = steps(grid.s_m, m_steps);
    out.sd_ln_friction_ = grid.s_m;
    if (pulls.empty()) return out;

    std::vector<Pull> on_grid;
    for (const PastPull& past : pulls) on_grid.push_back(pull_on(grid, past));
    std::vector<double> tried(shares.begin(), shares.end());
    if (options.own_share) tried = {*options.own_share};

    // Log posterior of each share's grid; the largest is taken out before the exponential.
    std::vector<std::vector<double>> likelihoods;
    double largest = -std::numeric_limits<double>::infinity();
    for (const double share : tried) {
        likelihoods.push_back(log_likelihood(grid, split_of(grid, share, options.least_own_u), on_grid, options.bad_share));
        largest = std::max(largest, *std::max_element(likelihoods.back().begin(), likelihoods.back().end()));
    }
    std::vector<double> before(grid.size(), 0), after(grid.size(), 0);
    double evidence = 0;
    for (std::size_t r = 0; r < tried.size(); ++r) {
        const Split split = split_of(grid, tried[r], options.least_own_u);
        const auto prior_x = normal_weights(grid.x, 0, split.family_x), prior_m = normal_weights(grid.m, 0, split.family_m);
        std::vector<double> prior(grid.size()), posterior(grid.size());
        double sum = 0;
        for (std::size_t i = 0; i < grid.x.size(); ++i)
            for (std::size_t j = 0; j < grid.m.size(); ++j) {
                const std::size_t at = i * grid.m.size() + j;
                prior[at] = prior_x[i] * prior_m[j];
                posterior[at] = prior[at] * std::exp(likelihoods[r][at] - largest);
                sum += posterior[at];
            }
        out.own_share_ += sum * tried[r];
        evidence += sum;
        const auto wide_prior = widened(grid, prior, split), wide_posterior = widened(grid, posterior, split);
        for (std::size_t at = 0; at < grid.size(); ++at) {
            before[at] += wide_prior[at] / static_cast<double>(tried.size());
            after[at] += wide_posterior[at];
        }
    }
    // A force outside everything the prior could give tells nothing of where in it the family lies.
    if (!(evidence > 0)) return out;
    out.own_share_ /= evidence;
    double all = 0, first = 0, second = 0;
    for (std::size_t at = 0; at < grid.size(); ++at) {
        const double m = grid.m[at % grid.m.size()];
        all += after[at], first += after[at] * m, second += after[at] * m * m;
    }
    out.mean_ln_friction_ = first / all;
    out.sd_ln_friction_ = std::sqrt(std::max(0.0, second / all - out.mean_ln_friction_ * out.mean_ln_friction_));
    out.x_ = grid.x;
    out.m_ = grid.m;
    // This seat's own losses shift where its interference lies beside the family's.
    const double lost = options.this_seat_pulled_before * lost_um;
    out.weight_.resize(grid.size());
    for (std::size_t at = 0; at < grid.size(); ++at) out.weight_[at] = before[at] > 0 ? after[at] / evidence / before[at] : 0;
    for (double& x : out.x_) x -= lost;
    return out;
}

}  // namespace halfturn::curve
