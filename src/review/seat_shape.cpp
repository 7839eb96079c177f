#include "review/seat_shape.hpp"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "review/shape_fit.hpp"

namespace halfturn::review {
namespace {

constexpr double least_seen = 0.6;       // of the seat, to tell its shape
constexpr double named_from_u = 2.5;     // its size over the doubt in it
constexpr double least_gain = 9;         // in chi2 against an even seat
constexpr double told_apart = 4;         // two shapes whose chi2 differ by less than two standard deviations are not
constexpr double most_u_for_even = 0.2;  // a taper that could hide behind more can't be ruled out

// What a shape must show to be named: below that a seat is even for a workshop.
double least_size(SeatShape shape) {
    switch (shape) {
        case SeatShape::tapered: return least_taper;
        case SeatShape::bell_mouthed: return 0.4;
        case SeatShape::worn_band: return 0.35;
        default: return 0.6;
    }
}

// Nothing can miss more than all of its grip; a form that would is something else.
double most_size(SeatShape shape) {
    return shape == SeatShape::tapered ? 2 : shape == SeatShape::burr ? 8 : 1.3;
}

// A place and a width were sought as well; each form that has them must gain that much more.
double price(SeatShape shape) {
    return shape == SeatShape::tapered ? 0 : shape == SeatShape::bell_mouthed ? 2 : 6;
}

struct Candidate {
    Form form;
    FormFit fit;
    double gain;
};

bool could_be(const Candidate& c) {
    const double size = c.form.shape == SeatShape::tapered ? std::fabs(c.fit.size) : c.fit.size;
    return c.gain >= least_gain && size >= least_size(c.form.shape) && size <= most_size(c.form.shape) &&
           size >= named_from_u * c.fit.u_size;
}

// The best place and width of each shape that the slide could have, the likeliest shape first.
std::vector<Candidate> shapes_it_could_have(const FormFitter& fitter) {
    const double even_chi2 = fitter.even().chi2;
    std::vector<Candidate> best;
    for (const Form& form : seat_forms()) {
        const FormFit fit = fitter.with(form);
        const Candidate candidate{form, fit, even_chi2 - fit.chi2 - price(form.shape)};
        if (!could_be(candidate)) continue;
        const auto same = std::find_if(best.begin(), best.end(), [&](const Candidate& c) { return c.form.shape == form.shape; });
        if (same == best.end()) best.push_back(candidate);
        else if (candidate.gain > same->gain) *same = candidate;
    }
    std::stable_sort(best.begin(), best.end(), [](const Candidate& a, const Candidate& b) { return a.gain > b.gain; });
    return best;
}

}  // namespace

void name_shape(SeatProfile& profile, const GripProblem& problem) {
    const FormFitter fitter(problem);
    const bool enough_seen = (profile.seen_to_mm - profile.seen_from_mm) / problem.length_mm() >= least_seen;
    const std::vector<Candidate> best = enough_seen ? shapes_it_could_have(fitter) : std::vector<Candidate>();
    if (best.empty()) {
        profile.u_size = fitter.with({SeatShape::tapered, 0, 1}).u_size;
        profile.shape = !enough_seen || profile.u_size > most_u_for_even ? SeatShape::cant_tell : SeatShape::even;
        profile.to_mm = problem.length_mm();
        return;
    }
    const Candidate& first = best.front();
    profile.shape = first.form.shape;
    profile.size = first.fit.size;
    profile.u_size = first.fit.u_size;
    profile.from_mm = first.form.from * problem.length_mm();
    profile.to_mm = first.form.to * problem.length_mm();
    profile.strength = std::sqrt(first.gain);
    for (std::size_t i = 1; i < best.size(); ++i)
        if (best[i].gain > first.gain - told_apart) profile.or_shapes.push_back(best[i].form.shape);
}

Ripple ripple_of(const GripProblem& problem) {
    constexpr double beside_per_turn[] = {1.45, 1.7, 2.3, 2.6};
    Ripple ripple;
    ripple.turns = problem.turns();
    ripple.known = problem.ripple().cols() == 2;
    if (!ripple.known) return ripple;
    const FormFitter fitter(problem);
    struct Wave {
        double cosine, sine, u;
        double amplitude() const { return std::hypot(cosine, sine); }
    };
    const auto wave = [&](double per_turn) {
        const Eigen::MatrixXd waves = problem.whitened(problem.waves(per_turn));
        const FormFit fit = fitter.with({SeatShape::tapered, 0, 1}, waves);
        return Wave{fit.solution(2), fit.solution(3), std::sqrt(fit.misfit * 2 / waves.squaredNorm())};
    };
    const Wave once = wave(1);
    ripple.share = once.amplitude();
    ripple.u_share = once.u;
    const double phase = std::atan2(once.sine, once.cosine) / (2 * std::numbers::pi);
    ripple.most_at_turn = phase < 0 ? phase + 1 : phase;
    double squares = 0;
    for (const double per_turn : beside_per_turn) squares += std::pow(wave(per_turn).amplitude(), 2);
    ripple.beside = std::sqrt(squares / std::size(beside_per_turn));
    return ripple;
}

}  // namespace halfturn::review
