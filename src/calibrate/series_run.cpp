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
    if (plan_.kind == "lag") {
        catch_.emplace(plan_.instruments, plan_.steady_s, least_counts);
        return;
    }
    for (const double least_count : least_counts) settling_.emplace_back(plan_.steady_s, least_count);
}

void SeriesRun::skip() {
    if (at_ == At::over) return;
    catch_.reset();
    ++step_;
    go_on();
}

void SeriesRun::reference(double value_N) {
    if (at_ != At::reference) return;
    means_.push_back(value_N);
    keep();
}

void SeriesRun::end() { at_ = At::over; }

void SeriesRun::reading(std::size_t instrument, double t_s, double value, bool fresh) {
    if (at_ != At::waiting) return;
    if (catch_) catch_->reading(instrument, t_s, value, fresh);
    else settling_[instrument].add(t_s, value);
}

SeriesRun::Took SeriesRun::take_when_steady() {
    if (at_ != At::waiting) return Took::nothing;
    const bool steady =
        catch_ ? catch_->at() == StepCatch::At::done
               : std::all_of(settling_.begin(), settling_.end(), [](const SettlingWatch& one) { return one.state().steady; });
    if (!steady) return Took::nothing;
    if (over_limit_) {
        at_ = At::step;
        catch_.reset();
        return Took::refused;
    }
    if (catch_) {
        keep_step();
        return Took::kept;
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
    if (plan_.kind == "force" || plan_.kind == "daily" || stray_of(plan_.kind)) row += "," + step().direction;
    lines_.push_back(std::move(row));
    ++kept_;
    ++step_;
    go_on();
}

// All readings of one quick step, in time's order channel by channel, as one piece: each piece waits for the disk.
void SeriesRun::keep_step() {
    if (kept_ == 0) lines_.push_back(head());
    ++kept_;
    means_.clear();
    std::string rows;
    for (std::size_t i = 0; i < plan_.instruments; ++i) {
        const StepSignal& signal = catch_->signals()[i];
        for (std::size_t j = 0; j < signal.t_s.size(); ++j)
            rows += (rows.empty() ? "" : "\n") + fixed_text(signal.t_s[j], 6) + "," + plan_.channel_names[i] + "," +
                    number_text(signal.value[j]) + "," + std::to_string(kept_);
        means_.push_back(signal.value.empty() ? 0 : signal.value.back());
    }
    if (!rows.empty()) lines_.push_back(std::move(rows));
    catch_.reset();
    ++step_;
    go_on();
}

std::string SeriesRun::head() const {
    if (plan_.kind == "lag") return plan_.notes + "t_s,channel,value,step";
    if (const auto stray = stray_of(plan_.kind)) {
        const StrayWords& words = stray_words(*stray);
        return plan_.notes + "# resolution_N = " + number_text(least_counts_.front()) + "\nindicated_N,reference_N," +
               std::string(words.amount) + (words.angle ? ",angle_deg" : "");
    }
    if (plan_.kind == "force")
        return plan_.notes + "# resolution = " + number_text(least_counts_.front()) + "\nindicated,reference_N,direction";
    if (plan_.kind == "stiffness") return plan_.notes + "travel_mm,force_N";
    if (plan_.kind == "daily") return plan_.notes + "travel_mm,force_N,what";
    if (plan_.kind == "pitch") return plan_.notes + "# travel_resolution_mm = " + number_text(least_counts_.back()) + "\nturns,travel_mm";
    return plan_.notes + "# resolution_mm = " + number_text(least_counts_.front()) + "\nblock_mm,indicated_mm";
}

std::vector<std::string> SeriesRun::take_lines() { return std::exchange(lines_, {}); }

}  // namespace halfturn::calibrate
