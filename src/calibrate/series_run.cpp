#include "calibrate/series_run.hpp"

#include <algorithm>
#include <utility>

#include "core/number_text.hpp"

namespace halfturn::calibrate {

void SeriesRun::hold(double t_s, const std::vector<double>& least_counts) {
    if (at_ != At::step) return;
    if (!step().keep) return skip();
    at_ = At::waiting;
    since_s_ = t_s;
    least_counts_ = least_counts;
    settling_.clear();
    for (const double least_count : least_counts) settling_.emplace_back(plan_.steady_s, least_count);
}

void SeriesRun::skip() {
    if (at_ == At::over) return;
    ++step_;
    go_on();
}

void SeriesRun::reference(double value_N) {
    if (at_ != At::reference) return;
    means_.push_back(value_N);
    keep();
}

void SeriesRun::end() { at_ = At::over; }

void SeriesRun::reading(std::size_t instrument, double t_s, double value) {
    if (at_ == At::waiting) settling_[instrument].add(t_s, value);
}

SeriesRun::Took SeriesRun::take_when_steady() {
    if (at_ != At::waiting) return Took::nothing;
    const bool steady = std::all_of(settling_.begin(), settling_.end(), [](const SettlingWatch& one) { return one.state().steady; });
    if (!steady) return Took::nothing;
    if (over_limit_) {
        at_ = At::step;
        return Took::refused;
    }
    means_.clear();
    for (const SettlingWatch& one : settling_) means_.push_back(one.state().mean);
    if (plan_.typed_reference) {
        at_ = At::reference;
        return Took::read;
    }
    keep();
    return Took::kept;
}

void SeriesRun::go_on() { at_ = step_ == plan_.steps.size() ? At::over : At::step; }

void SeriesRun::keep() {
    if (kept_ == 0) lines_.push_back(head());
    std::string row;
    if (plan_.kind == "travel") row = number_text(step().target) + ",";
    for (std::size_t i = 0; i < means_.size(); ++i) row += (i ? "," : "") + number_text(means_[i]);
    if (plan_.kind == "force" || plan_.kind == "daily") row += "," + step().direction;
    lines_.push_back(std::move(row));
    ++kept_;
    ++step_;
    go_on();
}

std::string SeriesRun::head() const {
    if (plan_.kind == "force") return plan_.notes + "# resolution = " + number_text(least_counts_.front()) + "\nindicated,reference_N,direction";
    if (plan_.kind == "stiffness") return plan_.notes + "travel_mm,force_N";
    if (plan_.kind == "daily") return plan_.notes + "travel_mm,force_N,what";
    if (plan_.kind == "pitch") return plan_.notes + "# travel_resolution_mm = " + number_text(least_counts_.back()) + "\nturns,travel_mm";
    return plan_.notes + "# resolution_mm = " + number_text(least_counts_.front()) + "\nblock_mm,indicated_mm";
}

std::vector<std::string> SeriesRun::take_lines() { return std::exchange(lines_, {}); }

}  // namespace halfturn::calibrate
