#include "review/seat_profile.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <numeric>

#include "curve/doubt.hpp"

namespace halfturn::review {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr int cells = 32;
constexpr double fall_doubt = 0.02, fall_doubt_reach = 0.2;  // of the full grip; of the seat's length
constexpr double length_doubt = 0.02;
constexpr double least_scatter = 0.01;  // of the force: no slide is smoother
constexpr double least_engaged_out = 0.05,
                 least_engaged_in = 0.15;  // of the seat: the chamfers' share; in, contact is only felt
constexpr double curvature_thought_possible = 0.15;
constexpr double finest_detail = 0.1;          // of the seat's length
constexpr double least_seen = 0.6;  // of the seat, to tell its shape
constexpr double turns_for_ripple = 1.6;

// Everything linear about one slide: whitened so that each row's error is 1 and independent.
class Problem {
public:
    Problem(const Slide& slide, const SetUp& set_up, double noise_N, double stretched)
        : length_(slide.length_mm) {
        const double least = set_up.work == Work::out ? least_engaged_out : least_engaged_in;
        for (const SlideStretch& s : slide.stretches)
            if (s.engaged_mm * stretched > least * length_) used_.push_back(s);
        const auto n = static_cast<Index>(used_.size());
        VectorXd force(n), y(n), share(n), error(n);
        for (Index i = 0; i < n; ++i) {
            const SlideStretch& s = used_[static_cast<std::size_t>(i)];
            y(i) = std::min(s.engaged_mm * stretched, length_);
            share(i) = grip_share(set_up, y(i));
            force(i) = s.force_N;
            error(i) = std::hypot(std::max(slide.scatter_N, least_scatter * std::fabs(s.force_N)),
                                  noise_N / std::sqrt(std::max(s.readings, 1.0)));
        }
        MatrixXd covariance = MatrixXd::Zero(n, n);
        // The zero is as good as the readings it was taken from, and the same for all.
        const double doubt_N = fall_doubt * slide.first_N, reach = fall_doubt_reach * length_;
        for (Index i = 0; i < n; ++i)
            for (Index j = 0; j < n; ++j) {
                const double apart = (y(i) - y(j)) / reach;
                covariance(i, j) = doubt_N * doubt_N * std::exp(-0.5 * apart * apart) + noise_N * noise_N +
                                   (i == j ? error(i) * error(i) : 0);
            }
        const Eigen::LLT<MatrixXd> root(covariance);
        error_ = error;
        fall_covariance_ = covariance;
        fall_covariance_.diagonal() -= error.cwiseAbs2();
        MatrixXd forward = MatrixXd::Zero(n, cells);
        const double cell = length_ / cells;
        for (Index i = 0; i < n; ++i)
            for (Index j = 0; j < cells; ++j) {
                const double covered = std::clamp(y(i) - cell * static_cast<double>(j), 0.0, cell);
                forward(i, j) = share(i) * covered / y(i);
            }
        engaged_ = y;
        share_ = share;
        plain_forward_ = forward;
        plain_data_ = force;
        white_ = [root](const MatrixXd& m) { return MatrixXd(root.matrixL().solve(m)); };
        forward_ = white_(forward);
        data_ = white_(force);
        const double turns = used_.empty() ? 0 : std::fabs(used_.front().turns - used_.back().turns);
        turns_ = turns;
        first_N_ = slide.first_N;
        plain_ripple_ = turns >= turns_for_ripple ? waves(1) : MatrixXd(n, 0);
        ripple_ = white_(plain_ripple_);
    }

    Index rows() const { return data_.size(); }
    double turns() const { return turns_; }
    double length() const { return length_; }
    double seen_from() const { return engaged_.size() ? engaged_(0) : 0; }
    double seen_to() const { return engaged_.size() ? engaged_(engaged_.size() - 1) : 0; }
    const MatrixXd& forward() const { return forward_; }
    const MatrixXd& ripple() const { return ripple_; }
    const VectorXd& data() const { return data_; }
    MatrixXd whitened_waves(double per_turn) const { return white_(waves(per_turn)); }

    // For the inversion: each row over its own scatter alone, so that the discrepancy principle speaks of the
    // readings; what is doubtful about the fall goes into the band.
    MatrixXd by_scatter(const MatrixXd& rows) const { return error_.cwiseInverse().asDiagonal() * rows; }
    const MatrixXd& plain_forward() const { return plain_forward_; }
    const MatrixXd& plain_ripple() const { return plain_ripple_; }
    const VectorXd& plain_data() const { return plain_data_; }
    MatrixXd fall_by_scatter() const { return by_scatter(by_scatter(fall_covariance_).transpose()); }

private:
    MatrixXd waves(double per_turn) const {
        MatrixXd columns(engaged_.size(), 2);
        for (Index i = 0; i < engaged_.size(); ++i) {
            const double angle = 2 * std::numbers::pi * per_turn * used_[static_cast<std::size_t>(i)].turns;
            columns(i, 0) = first_N_ * share_(i) * std::cos(angle);
            columns(i, 1) = first_N_ * share_(i) * std::sin(angle);
        }
        return columns;
    }

    double length_, turns_ = 0, first_N_ = 0;
    std::vector<SlideStretch> used_;
    VectorXd engaged_, share_, data_;
    VectorXd error_, plain_data_;
    MatrixXd forward_, ripple_, plain_forward_, plain_ripple_, fall_covariance_;
    std::function<MatrixXd(const MatrixXd&)> white_;
};

struct Solved {
    VectorXd grip;  // N/mm times length: the force each cell would give if the whole seat were like it
    VectorXd u;
    double chi2 = 0;
    double resolved_mm = 0;
};

MatrixXd roughness(double mean) {
    MatrixXd second = MatrixXd::Zero(cells - 2, cells);
    for (Index i = 0; i < cells - 2; ++i) {
        second(i, i) = 1;
        second(i, i + 1) = -2;
        second(i, i + 2) = 1;
    }
    return second.transpose() * second / (mean * mean);
}

Solved solve_for(const Problem& problem, const MatrixXd& penalty, double weight) {
    const Index ripples = problem.plain_ripple().cols();
    const MatrixXd forward = problem.by_scatter(problem.plain_forward()),
                   waves = problem.by_scatter(problem.plain_ripple());
    const VectorXd data = problem.by_scatter(problem.plain_data());
    std::vector<Index> kept(cells);
    std::iota(kept.begin(), kept.end(), Index{0});
    Solved out;
    for (;;) {
        const auto m = static_cast<Index>(kept.size());
        MatrixXd columns(problem.rows(), m + ripples);
        MatrixXd rough = MatrixXd::Zero(m + ripples, m + ripples);
        columns.leftCols(m) = forward(Eigen::all, kept);
        columns.rightCols(ripples) = waves;
        rough.topLeftCorner(m, m) = weight * penalty(kept, kept);
        const MatrixXd normal = columns.transpose() * columns;
        const Eigen::LDLT<MatrixXd> factor(normal + rough);
        const MatrixXd estimator = factor.solve(columns.transpose());
        const VectorXd solution = estimator * data;
        std::vector<Index> positive;
        for (Index j = 0; j < m; ++j)
            if (solution(j) >= 0) positive.push_back(kept[static_cast<std::size_t>(j)]);
        if (positive.size() != kept.size() && positive.size() >= 3) {
            kept = positive;
            continue;
        }
        out.chi2 = (data - columns * solution).squaredNorm();
        out.grip = VectorXd::Zero(cells);
        out.u = VectorXd::Zero(cells);
        const MatrixXd covariance = factor.solve(MatrixXd::Identity(m + ripples, m + ripples)) +
                                    estimator * problem.fall_by_scatter() * estimator.transpose();
        const MatrixXd seen_through = estimator * columns;
        double kernel = 0;
        int counted = 0;
        for (Index j = 0; j < m; ++j) {
            const Index cell = kept[static_cast<std::size_t>(j)];
            out.grip(cell) = std::max(0.0, solution(j));
            out.u(cell) = std::sqrt(std::max(0.0, covariance(j, j)));
            if (cell <= cells / 4 || cell >= 3 * cells / 4) continue;
            kernel += seen_through(j, j);
            ++counted;
        }
        // A kernel of unit area that peaks at r per cell is about 1/r cells wide.
        const double peak = counted > 0 ? kernel / counted : 0;
        out.resolved_mm = problem.length() / cells / std::clamp(peak, 1.0 / cells, 1.0);
        return out;
    }
}

// The smoothest grip that the readings allow.
Solved smoothest(const Problem& problem, double mean) {
    const MatrixXd penalty = roughness(mean);
    // Random second differences of this size bend the seat's middle by the curvature thought possible.
    const double per_cell = curvature_thought_possible * 4 * std::sqrt(3.0) / std::pow(cells, 1.5);
    double weight = 1 / (per_cell * per_cell);
    const auto rows = static_cast<double>(problem.rows());
    Solved best = solve_for(problem, penalty, weight);
    for (int step = 0; step < 40 && best.chi2 > rows; ++step) {
        weight /= 2;
        Solved next = solve_for(problem, penalty, weight);
        // Finer than this, strokes and pauses would be read as seat.
        if (next.resolved_mm < finest_detail * problem.length()) break;
        best = std::move(next);
    }
    // What is left unexplained is scatter too, of whatever cause.
    best.u *= std::sqrt(std::max(1.0, best.chi2 / rows));
    return best;
}

// One shape a seat may have: factor along the depth is 1 + size * form(z), z from 0 at the mouth to 1.
struct Form {
    SeatShape shape;
    double from, to;  // of the depth
    double at(double z) const {
        switch (shape) {
            case SeatShape::tapered:
                return z - 0.5;
            case SeatShape::bell_mouthed:
                return z < to ? -(1 - z / to) : 0;
            case SeatShape::worn_band:
                return z > from && z < to ? -1 : 0;
            case SeatShape::burr:
                return z > from && z < to ? 1 : 0;
            default:
                return 0;
        }
    }
};

struct Fitted {
    double chi2 = 0, base = 0, size = 0, u_size = 0;
    VectorXd solution;
};

Fitted fit(const Problem& problem, const Form* form, const MatrixXd& waves) {
    VectorXd shape = VectorXd::Ones(cells);
    MatrixXd columns(problem.rows(), (form ? 2 : 1) + waves.cols());
    columns.col(0) = problem.forward() * shape;
    if (form) {
        // A cell that a band only partly covers gets that part.
        constexpr int within = 8;
        for (Index j = 0; j < cells; ++j) {
            shape(j) = 0;
            for (int k = 0; k < within; ++k)
                shape(j) += form->at((static_cast<double>(j) + (k + 0.5) / within) / cells) / within;
        }
        columns.col(1) = problem.forward() * shape;
    }
    columns.rightCols(waves.cols()) = waves;
    const MatrixXd normal = columns.transpose() * columns;
    const Eigen::LDLT<MatrixXd> factor(normal);
    Fitted out;
    out.solution = factor.solve(columns.transpose() * problem.data());
    out.chi2 = (problem.data() - columns * out.solution).squaredNorm();
    out.base = out.solution(0);
    if (form && out.base > 0) {
        out.size = out.solution(1) / out.base;
        const MatrixXd covariance = factor.solve(MatrixXd::Identity(normal.rows(), normal.cols()));
        const double misfit = std::max(1.0, out.chi2 / static_cast<double>(problem.rows() - normal.rows()));
        out.u_size = std::sqrt(misfit * (covariance(1, 1) - 2 * out.size * covariance(0, 1) +
                                         out.size * out.size * covariance(0, 0))) /
                     out.base;
    }
    return out;
}

// Places and widths looked at. Not the first sixth at the mouth, where chamfers take over, nor for bands and
// burrs the inner end, which passes while the ring comes loose.
std::vector<Form> forms() {
    std::vector<Form> list{{SeatShape::tapered, 0, 1}};
    for (const double to : {0.25, 0.33, 0.42, 0.5}) list.push_back({SeatShape::bell_mouthed, 0, to});
    for (const double wide : {0.12, 0.2, 0.28, 0.36, 0.45})
        for (double middle = 0.18 + wide / 2; middle + wide / 2 < 0.92; middle += 0.04)
            list.push_back({SeatShape::worn_band, middle - wide / 2, middle + wide / 2});
    for (const double wide : {0.05, 0.1, 0.16})
        for (double middle = 0.18 + wide / 2; middle + wide / 2 < 0.88; middle += 0.03)
            list.push_back({SeatShape::burr, middle - wide / 2, middle + wide / 2});
    return list;
}

// What a shape must show to be named: below that a seat is even for a workshop.
double least_size(SeatShape shape) {
    switch (shape) {
        case SeatShape::tapered:
            return least_taper;
        case SeatShape::bell_mouthed:
            return 0.4;
        case SeatShape::worn_band:
            return 0.35;
        default:
            return 0.6;
    }
}

// Nothing can miss more than all of its grip; a form that would is something else.
double most_size(SeatShape shape) {
    return shape == SeatShape::tapered ? 2 : shape == SeatShape::burr ? 8 : 1.3;
}

constexpr double named_from_u = 2.5;
// A place and a width were sought as well; each form that has them must gain that much more.
double price(SeatShape shape) {
    return shape == SeatShape::tapered ? 0 : shape == SeatShape::bell_mouthed ? 2 : 6;
}
constexpr double least_gain = 9;
constexpr double told_apart = 4;  // two shapes whose chi2 differ by less than two standard deviations are not
constexpr double most_u_for_even = 0.2;  // a taper that could hide behind more can't be ruled out

void name_shape(SeatProfile& profile, const Problem& problem) {
    const Fitted even = fit(problem, nullptr, problem.ripple());
    const double seen = (profile.seen_to_mm - profile.seen_from_mm) / problem.length();
    struct Candidate {
        Form form;
        Fitted fitted;
        double gain;
    };
    std::vector<Candidate> best;  // of each shape
    double u_taper = 0;
    for (const Form& form : forms()) {
        const Fitted fitted = fit(problem, &form, problem.ripple());
        if (form.shape == SeatShape::tapered) u_taper = fitted.u_size;
        const double gain = even.chi2 - fitted.chi2 - price(form.shape);
        const double size = form.shape == SeatShape::tapered ? std::fabs(fitted.size) : fitted.size;
        if (seen < least_seen || gain < least_gain || size < least_size(form.shape) ||
            size > most_size(form.shape) || size < named_from_u * fitted.u_size)
            continue;
        const auto same = std::find_if(best.begin(), best.end(),
                                       [&](const Candidate& c) { return c.form.shape == form.shape; });
        if (same == best.end())
            best.push_back({form, fitted, gain});
        else if (gain > same->gain)
            *same = {form, fitted, gain};
    }
    if (best.empty()) {
        profile.shape =
            seen < least_seen || u_taper > most_u_for_even ? SeatShape::cant_tell : SeatShape::even;
        profile.u_size = u_taper;
        profile.to_mm = problem.length();
        return;
    }
    std::stable_sort(best.begin(), best.end(),
                     [](const Candidate& a, const Candidate& b) { return a.gain > b.gain; });
    const Candidate& first = best.front();
    profile.shape = first.form.shape;
    profile.size = first.fitted.size;
    profile.u_size = first.fitted.u_size;
    profile.from_mm = first.form.from * problem.length();
    profile.to_mm = first.form.to * problem.length();
    profile.strength = std::sqrt(first.gain);
    for (std::size_t i = 1; i < best.size(); ++i)
        if (best[i].gain > first.gain - told_apart) profile.or_shapes.push_back(best[i].form.shape);
}

void measure_ripple(Ripple& ripple, const Problem& problem) {
    ripple.turns = problem.turns();
    ripple.known = problem.ripple().cols() == 2;
    if (!ripple.known) return;
    const Form taper{SeatShape::tapered, 0, 1};
    const auto amplitude = [&](double per_turn, double& u, double& phase) {
        const MatrixXd waves = problem.whitened_waves(per_turn);
        const Fitted fitted = fit(problem, &taper, waves);
        const double c = fitted.solution(2), s = fitted.solution(3);
        const double misfit = std::max(1.0, fitted.chi2 / static_cast<double>(problem.rows() - 4));
        u = std::sqrt(misfit * 2 / (waves.squaredNorm()));
        phase = std::atan2(s, c) / (2 * std::numbers::pi);
        return std::hypot(c, s);
    };
    double phase = 0, unused = 0, u = 0, beside = 0;
    ripple.share = amplitude(1, ripple.u_share, phase);
    ripple.most_at_turn = phase < 0 ? phase + 1 : phase;
    int counted = 0;
    for (const double per_turn : {1.45, 1.7, 2.3, 2.6}) {
        const double a = amplitude(per_turn, u, unused);
        beside += a * a;
        ++counted;
    }
    ripple.beside = std::sqrt(beside / counted);
}

// What the instruments could show at best, whatever is made of the readings.
void state_resolution(SeatProfile& profile, const Slide& slide, const SetUp& set_up, const Trace& trace) {
    const double by_force = trace.moving_mm_per_s * trace.force_gap_s;
    const double by_travel = trace.moved_by_gauge ? 0
                                                  : trace.moving_mm_per_s * trace.turns_gap_s /
                                                        4;  // interpolated between strokes' ends
    const double k = set_up.stiffness_N_per_mm.mid;
    const double by_stretch = !trace.moved_by_gauge && k > 0
                                  ? 0.5 * (set_up.stiffness_N_per_mm.high - set_up.stiffness_N_per_mm.low) /
                                        k * slide.first_N / k / 2
                                  : 0;
    const std::pair<double, const char*> parts[] = {
        {by_force, "the rate of the force readings"},
        {by_travel, "the rate of the turn readings"},
        {trace.turns_step_mm, "the least count of the turn reading"},
        {by_stretch, "the doubt in the press's stiffness"}};
    double squares = 0;
    const auto* largest = &parts[0];
    for (const auto& part : parts) {
        squares += part.first * part.first;
        if (part.first > largest->first) largest = &part;
    }
    profile.instruments_mm = 2 * std::sqrt(squares);
    profile.instruments_because = largest->second;
}

}  // namespace

SeatProfile seat_profile(const Slide& slide, const SetUp& set_up, const Trace& trace) {
    SeatProfile profile;
    profile.why_not = slide.why_not;
    if (slide.stretches.empty()) return profile;
    const Problem problem(slide, set_up, trace.force_noise_N, 1);
    profile.seen_from_mm = problem.seen_from();
    profile.seen_to_mm = problem.seen_to();
    const double base = problem.rows() >= 10 ? fit(problem, nullptr, problem.ripple()).base : 0;
    if (base <= 0) {
        profile.why_not = "too little force while the ring slid";
        return profile;
    }
    profile.known = true;
    const Solved solved = smoothest(problem, base);
    const Solved longer = smoothest(Problem(slide, set_up, trace.force_noise_N, 1 + length_doubt), base);
    const Solved shorter = smoothest(Problem(slide, set_up, trace.force_noise_N, 1 - length_doubt), base);
    const double mean = solved.grip.mean();
    profile.mean_N_per_mm = mean / slide.length_mm;
    profile.resolved_mm = solved.resolved_mm;
    profile.misfit = solved.chi2 / static_cast<double>(problem.rows());
    for (Index j = 0; j < cells; ++j) {
        const double by_length =
            0.5 * std::fabs(longer.grip(j) / longer.grip.mean() - shorter.grip(j) / shorter.grip.mean());
        const double half = curve::z_975 * std::hypot(solved.u(j) / mean, by_length);
        const double relative = solved.grip(j) / mean;
        profile.points.push_back({slide.length_mm * (static_cast<double>(j) + 0.5) / cells, relative,
                                  std::max(0.0, relative - half), relative + half});
    }
    name_shape(profile, problem);
    measure_ripple(profile.ripple, problem);
    state_resolution(profile, slide, set_up, trace);
    profile.says = seat_shape_sentence(profile);
    return profile;
}

}  // namespace halfturn::review
